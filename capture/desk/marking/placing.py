"""Rims being placed on one photo: what is waited for, what was found, what is kept meanwhile."""

from typing import Literal

from msgspec.structs import replace
from PySide6.QtCore import QObject, QTimer, Signal

from annotate.givens import Givens
from annotate.marks import FarUnseen, Layer, Marker, Point
from annotate.optics.profile import LensProfile
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels
from annotate.quantity import Quantity
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.marking.about_photo import AboutPhoto
from capture.desk.marking.acceptance import Accepted, file_accepted, lacking, says_far
from capture.desk.marking.drafts import Draft, Drafts
from capture.desk.marking.known_sizes import Sizes, sizes_of
from capture.desk.marking.lens_kept import KeptLens
from capture.desk.marking.rims_sought import Sought, fit_beforehand, seek_rims
from capture.desk.marking.sitting import Sitting
from capture.errors import Unfit

State = Literal["away", "loading", "press", "seeking", "placing", "measuring"]
_KEPT_AFTER_MS = 250  # of quiet: a nudge held down is one draft, not a hundred


class Placing(QObject):
    """One photo's marks, from the first press to acceptance. It says when it ``changed``.

    ``note`` is what a person should read now: a refusal, a warning, where the marks come from.
    While it is paused a press looks for nothing.
    """

    changed = Signal()
    found = Signal()
    filed = Signal(object, object)  # the Sitting and its Check

    def __init__(self, desk: Desk, canvas: PhotoCanvas, drafts: Drafts) -> None:
        super().__init__(canvas)
        self._desk, self._canvas, self._drafts = desk, canvas, drafts
        self.about = AboutPhoto(desk, self)
        self.sitting: Sitting | None = None
        self._book = ""  # in which one sits: another may be opened meanwhile
        self.state: State = "away"
        self.note, self.is_refusal, self.is_paused = "", False, False
        self.typed: dict[str, str] = {}
        self.flat, self.use_lens = False, True
        self._seeking: errands.Errand | None = None
        self._again = self._touched = False
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(_KEPT_AFTER_MS)
        self._quiet.timeout.connect(self.keep_draft)
        self.about.shown.connect(self._shown)
        self.about.learned.connect(self.changed)
        self.about.refused.connect(lambda told: self.refuse(told.sentence))
        canvas.pointed.connect(self._pressed)
        canvas.layer_changed.connect(self._layer_changed)
        canvas.refused.connect(self.refuse)

    # --- coming and going -----------------------------------------------------------------

    def begin(self, sitting: Sitting) -> None:
        """Show the photo of a sitting, with the marks that were left on it."""
        self.leave()
        self.sitting, self._book = sitting, str(self._desk.root)
        self.typed, self.use_lens = {}, True
        self.flat = sitting.check.characteristic.flat
        self._set("loading", "")
        self.about.want(sitting.taken)

    def leave(self) -> None:
        """Keep what was placed and let go of the photo."""
        self.keep_draft()
        self.drop_search()
        self.about.forget()
        self.sitting, self._touched = None, False
        self._canvas.set_picture(None)
        self._set("away", "")

    def keep_draft(self) -> None:
        """Write down what is not accepted yet; nothing where nobody placed anything."""
        self._quiet.stop()
        if self.sitting is None or not self._touched:
            return
        sitting = self.sitting
        kept = self._drafts.keep(Draft(
            book=self._book, key=sitting.check.key, photo=sitting.taken.photo,
            by=self._desk.by, layer=self._canvas.layer(), second_to=sitting.second_to,
            typed=dict(self.typed), flat=self.flat,
        ))  # fmt: skip
        if not kept:
            self.refuse(
                "the marks can't be written down and are lost when the window is closed: make "
                "room on the disk, or accept them"
            )

    # --- looking for the rims -------------------------------------------------------------

    def look_again(self) -> None:
        """Wait for a press inside the hole, to look for the rims from there once more."""
        if self.state in {"placing", "press"}:
            self._again = True
            self._set("press", "")

    def drop_search(self) -> bool:
        """Want the search no more, or the press that was waited for; False if there was none."""
        waited = self.state == "press" and self._again
        if self._seeking is not None:
            self._seeking.drop()
        elif not waited:
            return False
        self._settle("")
        return True

    def say_far(self, looks: Literal["open", "shut"]) -> None:
        """Say that no far rim is seen: all that shows is open, or all of it is material."""
        if self.state in {"placing", "press"}:
            self._canvas.set_rims(FarUnseen(looks=looks))

    def _pressed(self, at: Point) -> None:
        photo, layer = self.about.photo, self._canvas.layer()
        if self.state != "press" or photo is None or self.is_paused:
            return
        givens = self._givens()
        self._set("seeking", "")
        self._seeking = errands.run(
            lambda: seek_rims(photo, layer, at, givens), self._found, self._not_found
        )

    def _givens(self) -> Givens | None:
        """Return what is known of the two holes by now; what is typed wrong is said later."""
        if self._desk.round is None:
            return None
        try:
            return self.sizes().givens
        except Unfit:
            return None

    def _found(self, sought: Sought) -> None:
        self._settle("; ".join(sought.warnings))
        self._canvas.set_rims(*sought.marks)
        self.found.emit()

    def _not_found(self, told: Refused) -> None:
        self._settle("")
        self.refuse(told.sentence)

    # --- accepting ------------------------------------------------------------------------

    @property
    def lacking(self) -> str:
        """What is still to be done before the marks can be accepted, "" if nothing is."""
        if self.state not in {"placing", "press"}:
            return "the rims are not placed yet"
        return lacking(self._canvas.layer())

    @property
    def lens_profile(self) -> LensProfile | None:
        """The profile that is used on this photo, None for none."""
        return self.about.lens.profile if self.about.lens and self.use_lens else None

    def sizes(self) -> Sizes:
        """Return the sizes to measure with; raises Unfit for what was typed and is none."""
        assert self.sitting is not None and self._desk.round is not None  # noqa: S101, PT018 - while one sits
        check = self.sitting.check.characteristic
        return sizes_of(check, self.typed, self._desk.round.job, flat=self.flat)

    def accept(self, sizes: Sizes) -> None:
        """Have the marks measured and filed."""
        if self.sitting is None or self.lacking:
            return
        accepted = Accepted(
            key=self.sitting.check.key, taken=self.sitting.taken, givens=sizes.givens,
            layer=self.layer_with_target(sizes.target), lens=self.lens_used,
            second_to=self.sitting.second_to,
        )  # fmt: skip
        self.file(accepted, placed_now=True)

    @property
    def lens_used(self) -> KeptLens | None:
        """The lens that is used on this photo, None for none."""
        return self.about.lens if self.use_lens else None

    def file(self, accepted: Accepted, *, placed_now: bool) -> None:
        """Have marks measured and filed; ``placed_now``: those on the canvas, no earlier ones."""
        assert self.sitting is not None  # noqa: S101 - somebody sits, or nothing is accepted
        sitting, book = self.sitting, self._book
        self.keep_draft()
        self._set("measuring", "")
        self._desk.act(
            lambda journey: file_accepted(journey, accepted),
            then=lambda check: self._accepted(sitting, book if placed_now else "", check),
            refused=lambda told: self._not_accepted(sitting, told),
            words="measuring",
        )

    def layer_with_target(self, side: Quantity | None) -> Layer:
        """Return the layer with the printed target, if its side is known."""
        layer, targets = self._canvas.layer(), self.about.targets
        stay = tuple(mark for mark in layer.marks if not isinstance(mark, Marker))
        if side is None or len(targets) != 1:
            return replace(layer, marks=stay)
        return replace(layer, marks=(*stay, replace(targets[0], side=side)))

    def _accepted(self, sitting: Sitting, book: str, check: object) -> None:
        if book:
            self._drafts.drop(book, sitting.check.key, sitting.taken.photo, sitting.second_to)
        if self.sitting is sitting:
            if book:
                self._quiet.stop()
                self._touched = False
            self._settle("")
        self.filed.emit(sitting, check)

    def _not_accepted(self, sitting: Sitting, told: Refused) -> None:
        if self.sitting is sitting:
            self._settle("")
            self.refuse(told.sentence)
        else:
            self._desk.refused.emit(told.sentence)

    def refuse(self, sentence: str) -> None:
        """Say why something was not done; the marks stay as they are."""
        self.note, self.is_refusal = sentence, True
        self.changed.emit()

    def _shown(self, levels: PictureLevels) -> None:
        sitting = self.sitting
        if sitting is None:
            return
        self._canvas.set_picture(levels)
        self._canvas.set_layer(sitting.bare_layer())
        draft = self._drafts.find(
            self._book, sitting.check.key, sitting.taken.photo,
            by=self._desk.by, second_to=sitting.second_to,
        )  # fmt: skip
        if draft is None:
            self._settle("")
            return
        # The outlines are worked out beforehand, in another thread.
        errands.run(lambda: fit_beforehand(draft.layer), lambda _: self._go_on_with(sitting, draft))

    def _go_on_with(self, sitting: Sitting, draft: Draft) -> None:
        if self.sitting is not sitting:
            return
        self._canvas.set_layer(draft.layer)
        self.typed, self._touched = dict(draft.typed), True
        self.flat = draft.flat if draft.flat is not None else self.flat
        self._settle("marks placed before, not accepted yet")
        self.found.emit()

    def _layer_changed(self, _: Layer) -> None:
        if self.sitting is None:
            return
        self._touched = True
        self._quiet.start()
        if self.state in {"placing", "press"} and not self._again:
            self._settle("" if self.is_refusal else self.note)
        else:
            self.changed.emit()

    def _settle(self, note: str) -> None:
        """Wait for a press while a rim is still to be found, else let the rims be placed."""
        self._seeking, self._again = None, False
        layer = self._canvas.layer()
        placed = layer.rim("near") is not None and says_far(layer)
        self._set("placing" if placed else "press", note)

    def _set(self, state: State, note: str) -> None:
        self.state, self.note, self.is_refusal = state, note, False
        self.changed.emit()
