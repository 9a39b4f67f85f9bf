"""Rims being placed on one photo: what is waited for, what was found, what is kept meanwhile."""

from typing import Literal

from msgspec.structs import replace
from PySide6.QtCore import QObject, QTimer, Signal

from annotate.marks import FarUnseen, Layer, Marker, Point
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels
from capture.desk import errands
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.marking.acceptance import Accepted, file_accepted, lacking
from capture.desk.marking.drafts import Draft, Drafts
from capture.desk.marking.known_sizes import Sizes, sizes_of
from capture.desk.marking.rims_sought import (
    Sought,
    find_targets,
    fit_beforehand,
    photo_of,
    seek_rims,
)
from capture.desk.marking.sitting import Sitting
from capture.desk.shelf import shelf_of
from capture.intake.photo import Photo

State = Literal["away", "loading", "press", "seeking", "placing", "measuring"]
_KEPT_AFTER_MS = 250  # of quiet: a nudge held down is one draft, not a hundred


class Placing(QObject):
    """One photo's marks, from the first press to acceptance. It says when it ``changed``.

    ``note`` is what a person should read now: a refusal, a warning, where the marks come from.
    """

    changed = Signal()
    filed = Signal(object)  # the Check

    def __init__(self, desk: Desk, canvas: PhotoCanvas, drafts: Drafts) -> None:
        super().__init__(canvas)
        self._desk, self._canvas, self._drafts = desk, canvas, drafts
        self.sitting: Sitting | None = None
        self.state: State = "away"
        self.note, self.is_refusal = "", False
        self.targets: tuple[Marker, ...] = ()
        self.typed: dict[str, str] = {}
        self.flat = False
        self.use_lens = True
        self._photo: Photo | None = None
        self._seeking: errands.Errand | None = None
        self._again = self._touched = self._looked = False
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.setInterval(_KEPT_AFTER_MS)
        self._quiet.timeout.connect(self.keep_draft)
        canvas.pointed.connect(self._pressed)
        canvas.layer_changed.connect(self._layer_changed)
        canvas.refused.connect(self.refuse)

    # --- coming and going -----------------------------------------------------------------

    def begin(self, sitting: Sitting) -> None:
        """Show the photo of a sitting, with the marks that were left on it."""
        self.leave()
        self.sitting = sitting
        self.typed, self.flat = {}, sitting.check.characteristic.flat
        self.targets, self._photo = (), None
        self._canvas.set_picture(None)
        self._set("loading", "")
        shelf_of(self._desk).levels(
            sitting.taken,
            lambda levels: self._arrived(sitting, levels),
            lambda told: self._can_not_show(sitting, told),
        )

    def leave(self) -> None:
        """Keep what was placed and let go of the photo."""
        self.keep_draft()
        self.drop_search()
        self.sitting, self._photo = None, None
        self._touched = self._again = self._looked = False
        self.state = "away"

    def keep_draft(self) -> None:
        """Write down what is not accepted yet; nothing where nobody placed anything."""
        self._quiet.stop()
        if self.sitting is None or not self._touched:
            return
        sitting = self.sitting
        kept = self._drafts.keep(Draft(
            book=str(self._desk.root), key=sitting.check.key, photo=sitting.taken.photo,
            by=self._desk.by, layer=self._canvas.layer(), second_to=self._second_to(),
            typed=dict(self.typed), flat=self.flat,
        ))  # fmt: skip
        if not kept:
            self.refuse(
                "the marks can't be written down and are lost when the window is closed: make "
                "room on the disk, or accept them"
            )

    @property
    def is_ready(self) -> bool:
        """Whether the photo is there and was looked through for printed targets."""
        return self._photo is not None and self._looked

    # --- looking for the rims -------------------------------------------------------------

    def look_again(self) -> None:
        """Wait for a press inside the hole, to look for the rims from there once more."""
        if self.state in {"placing", "press"} and self._photo is not None:
            self._again = True
            self._set("press", "")

    def drop_search(self) -> bool:
        """Want the search no more, or the press that was waited for; False if there was none."""
        if self._seeking is not None:
            self._seeking.drop()
            self._seeking = None
        elif not (self.state == "press" and self._again):
            return False
        self._again = False
        self._settle("")
        return True

    def say_far(self, looks: Literal["open", "shut"]) -> None:
        """Say that no far rim is seen: all that shows is open, or all of it is material."""
        if self.state in {"placing", "press"}:
            self._canvas.set_rims(FarUnseen(looks=looks))

    def _pressed(self, at: Point) -> None:
        photo = self._photo
        if self.state != "press" or photo is None:
            return
        layer = self._canvas.layer()
        self._set("seeking", "")
        self._seeking = errands.run(
            lambda: seek_rims(photo, layer, at), self._found, self._not_found
        )

    def _found(self, sought: Sought) -> None:
        self._seeking, self._again = None, False
        self._touched = True
        self._canvas.set_rims(*sought.marks)
        self._canvas.setFocus()
        self._settle("; ".join(sought.warnings))

    def _not_found(self, told: Refused) -> None:
        self._seeking, self._again = None, False
        self._settle("")
        self.refuse(told.sentence)

    # --- accepting ------------------------------------------------------------------------

    @property
    def lacking(self) -> str:
        """What is still to be done before the marks can be accepted, "" if nothing is."""
        if self.state != "placing":
            return "the rims are not placed yet"
        return lacking(self._canvas.layer())

    def sizes(self) -> Sizes:
        """Return the sizes to measure with; raises Unfit for what was typed and is none."""
        assert self.sitting is not None and self._desk.round is not None  # noqa: S101, PT018 - while one sits
        check = self.sitting.check.characteristic
        return sizes_of(check, self.typed, self._desk.round.job, flat=self.flat)

    def accept(self, sizes: Sizes) -> None:
        """Have the marks measured and filed."""
        if self.sitting is None or self.lacking:
            return
        sitting = self.sitting
        accepted = Accepted(
            key=sitting.check.key, taken=sitting.taken, layer=self.layer_with_target(sizes),
            givens=sizes.givens, use_lens=self.use_lens, second_to=self._second_to(),
        )  # fmt: skip
        self.keep_draft()
        self._set("measuring", "")
        self._desk.act(
            lambda journey: file_accepted(journey, accepted),
            then=lambda check: self._accepted(sitting, check),
            refused=lambda told: self._not_accepted(sitting, told),
            words="measuring",
        )

    def layer_with_target(self, sizes: Sizes) -> Layer:
        """Return the layer with the printed target, if its side is known."""
        layer = self._canvas.layer()
        stay = tuple(mark for mark in layer.marks if not isinstance(mark, Marker))
        if sizes.target is None or len(self.targets) != 1:
            return replace(layer, marks=stay)
        return replace(layer, marks=(*stay, replace(self.targets[0], side=sizes.target)))

    def _accepted(self, sitting: Sitting, check: object) -> None:
        self._drafts.drop(
            str(self._desk.root), sitting.check.key, sitting.taken.photo, _entry_of(sitting)
        )
        if self.sitting is sitting:
            self._quiet.stop()
            self._touched = False
            self._settle("")
        self.filed.emit(check)

    def _not_accepted(self, sitting: Sitting, told: Refused) -> None:
        if self.sitting is sitting:
            self._settle("")
            self.refuse(told.sentence)
        else:
            self._desk.refused.emit(told.sentence)

    # --- private --------------------------------------------------------------------------

    def refuse(self, sentence: str) -> None:
        """Say why something was not done; the marks stay as they are."""
        self.note, self.is_refusal = sentence, True
        self.changed.emit()

    def _arrived(self, sitting: Sitting, levels: PictureLevels) -> None:
        if self.sitting is not sitting:
            return
        photo = self._photo = photo_of(sitting.taken, levels.levels[0])
        self._canvas.set_picture(levels)
        draft = self._drafts.find(
            str(self._desk.root), sitting.check.key, sitting.taken.photo,
            by=self._desk.by, second_to=_entry_of(sitting),
        )  # fmt: skip
        self._canvas.set_layer(draft.layer if draft else sitting.bare_layer())
        if draft is not None:
            self.typed = dict(draft.typed)
            self.flat = draft.flat if draft.flat is not None else self.flat
            self._touched = True
        self._settle("marks placed before, not accepted yet" if draft else "")
        errands.run(lambda: find_targets(photo), lambda found: self._targets_seen(sitting, found))

    def _targets_seen(self, sitting: Sitting, found: tuple[Marker, ...]) -> None:
        if self.sitting is sitting:
            self.targets, self._looked = found, True
            self.changed.emit()

    def _can_not_show(self, sitting: Sitting, told: Refused) -> None:
        if self.sitting is sitting:
            self.refuse(told.sentence)

    def _layer_changed(self, layer: Layer) -> None:
        if self.sitting is None:
            return
        self._touched = True
        self._quiet.start()
        del layer
        if self.state in {"placing", "press"}:
            self._settle(self.note if not self.is_refusal else "")

    def _settle(self, note: str) -> None:
        """Wait for a press where no rim is there yet, else let the rims be placed."""
        layer = self._canvas.layer()
        waits = layer.rim("near") is None or (self.state == "press" and self._again)
        if (
            not waits
            and layer.rim("far") is None
            and not any(isinstance(mark, FarUnseen) for mark in layer.marks)
        ):
            waits = True  # what shows through a near rim set by hand can still be looked for
        self._set("press" if waits else "placing", note)

    def _set(self, state: State, note: str) -> None:
        self.state, self.note, self.is_refusal = state, note, False
        self.changed.emit()

    def _second_to(self) -> str:
        return _entry_of(self.sitting) if self.sitting else ""


def _entry_of(sitting: Sitting) -> str:
    return sitting.first.stamp.entry if sitting.first else ""


__all__ = ["Placing", "State", "fit_beforehand"]
