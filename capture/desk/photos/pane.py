"""The photo of a location, with its accepted outlines: the target of all that comes in."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDropEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from annotate.pane.canvas import PhotoCanvas
from capture.desk.desk import Desk
from capture.desk.look.palette import Palette
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.below import Below
from capture.desk.photos.caption import Caption
from capture.desk.photos.choice import marked_on, photo_of, photo_to_show, photos_in_order
from capture.desk.photos.drop_sign import DropSign
from capture.desk.photos.handed import brings_photos
from capture.desk.photos.looking import Looking
from capture.desk.photos.paste_key import PasteKey
from capture.desk.photos.shown_photo import ShownPhoto
from capture.desk.photos.taking import Chooser, Taking, choose_files
from capture.desk.photos.times import clock_doubt, times_in_words
from capture.desk.photos.verbs import Action
from capture.desk.photos.warnings import Looks, needs_scale, sharpness_words, warnings_of
from capture.desk.where import Where
from store.attempt import Photo
from store.round import Check, Place


class PhotoPane(QWidget):
    """Half of the window. ``mark_wanted`` and ``compare_wanted`` carry the SHA-256 of the photo.

    ``photo_changed`` carries the SHA-256 of what is shown now, "" for none.
    """

    mark_wanted = Signal(str)
    compare_wanted = Signal(str)
    photo_changed = Signal(str)

    def __init__(self, desk: Desk, choose: Chooser = choose_files) -> None:
        super().__init__()
        self._desk = desk
        self.arrivals = arrivals_of(desk)
        self.taking = Taking(desk, self, choose)
        self._place: Place | None = None
        self._check: Check | None = None
        self._photo: Photo | None = None
        self._looking = Looking(self)
        self.caption = Caption()
        self.shown = ShownPhoto(desk, closes_in=True)
        self.below = Below(desk, self.arrivals)
        self._sign = DropSign(self)
        self._paste_key = PasteKey(self)
        self._all = self._made_actions()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.caption)
        whole.addWidget(self.shown, 1)
        whole.addWidget(self.below)
        self.setAcceptDrops(True)
        self.setAccessibleName("photo of the location")
        self.shown.came.connect(self._look)
        self.arrivals.changed.connect(self._role_changed)
        self.wear(desk.palette)
        desk.dressed.connect(self.wear)
        self._show(None)

    # --- what is shown --------------------------------------------------------------------

    @property
    def photo(self) -> str:
        """The SHA-256 of the photo that is shown, "" for none."""
        return self._photo.taken.photo if self._photo else ""

    @property
    def canvas(self) -> PhotoCanvas:
        """The canvas that the photo is on."""
        return self.shown.canvas

    def show_place(self, place: Place | None, check: Check | None) -> None:
        """Show a location's photo: the same as before if it is there, a new one if one came."""
        before, self._place, self._check = self._place, place, check
        if place is not None:
            self.canvas.name_rims(place.location.near, place.location.far)
        if place is None:
            self._show(None)
        elif before is None or before.location.id != place.location.id:
            self._show(photo_of(place, photo_to_show(place, check)))
        else:
            known = {p.taken.photo for p in photos_in_order(before)}
            new = [p for p in photos_in_order(place) if p.taken.photo not in known]
            kept = photo_of(place, self.photo)
            self._show(new[-1] if new else kept or photo_of(place, photo_to_show(place, check)))

    def show_photo(self, photo_id: str) -> None:
        """Show one of the location's photos; "" shows that there is none."""
        self._show(photo_of(self._place, photo_id) if self._place and photo_id else None)

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on: the mat behind the photo."""
        self.canvas.wear_mat(palette.mat)
        self.update()

    def _show(self, photo: Photo | None) -> None:
        self._photo = photo
        self.below.striking.about(photo)
        self._say(None)
        self._offer()
        if photo is None:
            self._say_empty()
        else:
            self.shown.show_photo(photo.taken, marked_on(self._check, photo.taken.photo))
            self._look()
        self.photo_changed.emit(self.photo)

    def _look(self) -> None:
        if self._photo is not None:
            marked = marked_on(self._check, self.photo)
            seek = needs_scale(self._photo.taken, self._check, marked)
            self._looking.look(self.photo, self.shown.levels, marked, self._say, seek_marker=seek)

    def _say(self, looks: Looks | None) -> None:
        """Say in the caption what it is, and below what is wrong with it."""
        photo = self._photo
        if photo is None:
            self.caption.say(("no photo",) if self._place else ())
            self.below.say(())
            return
        taken, arrived = photo.taken, photo.stamp.at
        view = "" if taken.view == "direct" else f"seen by {taken.view}"
        struck = f"struck: {photo.struck.reason}" if photo.struck else ""
        sharp = sharpness_words(looks) if looks is not None else ""
        self.caption.say(
            (taken.role, view, struck, sharp), times_in_words(taken.camera_time, arrived)
        )
        marked = marked_on(self._check, self.photo)
        wrong = warnings_of(looks, taken, self._check, marked) if looks is not None else ()
        known = self._desk.round
        begun = known.started.at if known else ""
        clock = clock_doubt(taken.camera_time, arrived, begun)
        self.below.say((*wrong, *((clock,) if clock else ())))

    def _role_changed(self) -> None:
        if self._photo is None:
            self._say_empty()

    def _say_empty(self) -> None:
        role = self.arrivals.next.role
        self.shown.say(
            f"No photo here yet ({role}): drop one, paste one (Ctrl V), or take one (Ctrl T)"
            if self._place
            else "No location is shown"
        )

    # --- what can be done -----------------------------------------------------------------

    def _made_actions(self) -> dict[str, Action]:
        return {
            "mark": Action("Place rims", ("P",), lambda: self.mark_wanted.emit(self.photo)),
            "take": Action("Take photo", ("Ctrl+T", "T"), self.take_photo),
            "add": Action("Add photo", ("Ctrl+D",), self.taking.choose),
            "compare": Action(
                "Compare", ("Ctrl+K", "C"), lambda: self.compare_wanted.emit(self.photo)
            ),
            "role": Action("Role", ("Ctrl+E", "F"), self.below.roles.ask),
            "paste": Action("Paste", ("Ctrl+V", "Ctrl+Shift+V"), self.taking.paste),
            "watch": Action("Watch a folder, or stop", (), self.taking.watch),
            "strike": Action("Strike photo", (), self.below.striking.ask),
        }

    def _offer(self) -> None:
        photo, check = self._photo, self._check
        shown = photo is not None and photo.struck is None and photo.taken.can_be_shown
        measured = check is not None and check.characteristic.kind == "coverage"
        several = self._place is not None and len(photos_in_order(self._place)) > 1
        there = self._place is not None
        wanted = {
            "mark": shown and measured, "take": there, "add": there, "compare": shown and several,
            "role": there, "paste": there, "watch": there,
            "strike": photo is not None and photo.struck is None,
        }  # fmt: skip
        self.below.verbs.offer(tuple(a for name, a in self._all.items() if wanted[name]))

    def take_photo(self) -> None:
        """Go to the camera for this location."""
        if self._place is not None:
            self._desk.go(Where("camera", self._desk.where.key or self._place.location.id))

    # --- drops ----------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 - Qt's name
        """Show where it may be dropped."""
        if self._place is not None and brings_photos(event.mimeData()):
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()
            at, role = self._place.location.id, self.arrivals.next.role
            self._sign.show_over(self, f"Drop to file at {at} as {role}")

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:  # noqa: N802 - Qt's name
        """Put the sign away."""
        self._sign.hide()
        super().dragLeaveEvent(event)

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 - Qt's name
        """Take it in. It is copied: the person's files are never moved."""
        self._sign.hide()
        if self._place is not None and self.taking.take_mime(event.mimeData()):
            event.setDropAction(Qt.DropAction.CopyAction)
            event.accept()
