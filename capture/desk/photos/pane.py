"""The photo of a location, with its accepted outlines: the target of all that comes in."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDropEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from annotate.marks import Layer
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.levels import PictureLevels
from annotate.pane.shown import Shown
from capture.desk.bench import Refused
from capture.desk.desk import Desk
from capture.desk.look.palette import Palette
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.caption import Caption
from capture.desk.photos.choice import marked_on, photo_of, photo_to_show, photos_in_order
from capture.desk.photos.drop_sign import DropSign
from capture.desk.photos.empty import Empty
from capture.desk.photos.handed import brings_photos
from capture.desk.photos.incoming import Incoming
from capture.desk.photos.striking import Striking
from capture.desk.photos.taking import Chooser, Taking, choose_files
from capture.desk.photos.times import clock_doubt, times_in_words
from capture.desk.photos.verbs import Action, VerbStrip
from capture.desk.shelf import shelf_of
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
        self._shelf = shelf_of(desk)
        self._place: Place | None = None
        self._check: Check | None = None
        self._photo: Photo | None = None
        self._whole = False
        self.caption = Caption()
        self.canvas = PhotoCanvas()
        self.canvas.setAcceptDrops(False)
        self.canvas.viewport().setAcceptDrops(False)  # the pane takes what is dropped
        self.empty = Empty()
        self.incoming = Incoming(desk)
        self.striking = Striking(desk)
        self.verbs = VerbStrip()
        self._room = QStackedWidget()
        self._sign = DropSign(self)
        self._all = self._made_actions()
        self._lay_out()
        self.setAcceptDrops(True)
        self.setAccessibleName("photo of the location")
        self.arrivals.changed.connect(self._say_empty)
        self._show_nothing()

    # --- what is shown --------------------------------------------------------------------

    @property
    def photo(self) -> str:
        """The SHA-256 of the photo that is shown, "" for none."""
        return self._photo.taken.photo if self._photo else ""

    def show_place(self, place: Place | None, check: Check | None) -> None:
        """Show a location's photo: the same as before if it is there, a new one if one came."""
        before = self._place
        self._place, self._check = place, check
        if place is None:
            self._show_nothing()
            return
        same = before is not None and before.location.id == place.location.id
        known = {p.taken.photo for p in photos_in_order(before)} if same and before else set()
        new = [p for p in photos_in_order(place) if p.taken.photo not in known and same]
        kept = photo_of(place, self.photo) if same else None
        if new:
            self._show(new[-1])
        elif kept is not None:
            self._show(kept)
        else:
            self.show_photo(photo_to_show(place, check))

    def show_photo(self, photo_id: str) -> None:
        """Show one of the location's photos; "" shows that there is none."""
        photo = photo_of(self._place, photo_id) if self._place and photo_id else None
        if photo is None:
            self._show_nothing()
        else:
            self._show(photo)

    def wear(self, palette: Palette) -> None:  # noqa: ARG002 - a photo looks the same in both
        """Draw in these colours from now on."""
        self.update()

    def _show(self, photo: Photo) -> None:
        before, self._photo = self._photo, photo
        self.striking.about(photo)
        self._caption_says()
        self._offer()
        if before is not None and before.taken.photo == photo.taken.photo and self._whole:
            self._draw_marks()
        else:
            self._fetch(photo)
        self.photo_changed.emit(self.photo)

    def _show_nothing(self) -> None:
        self._photo, self._whole = None, False
        self.canvas.set_picture(None)
        self.striking.about(None)
        self.caption.say(("no photo",) if self._place else ())
        self._say_empty()
        self._room.setCurrentWidget(self.empty)
        self._offer()
        self.photo_changed.emit("")

    def _fetch(self, photo: Photo) -> None:
        self._whole = False
        self.canvas.set_picture(None)
        if not photo.taken.can_be_shown:
            self.empty.say(f"{photo.taken.file_name} is kept, and can't be shown")
            self._room.setCurrentWidget(self.empty)
            return
        self._room.setCurrentWidget(self.canvas)
        shelf, taken = self._shelf, photo.taken
        shelf.coarse(taken, lambda levels: self._show_coarse(taken.photo, levels))
        shelf.levels(
            taken,
            lambda levels: self._show_whole(taken.photo, levels),
            lambda refused: self._failed(taken.photo, refused),
        )

    def _show_coarse(self, photo: str, levels: PictureLevels) -> None:
        if photo == self.photo and not self._whole:
            self.canvas.set_picture(levels)

    def _show_whole(self, photo: str, levels: PictureLevels) -> None:
        if photo != self.photo or self._whole:
            return
        self._whole = True
        self.canvas.set_picture(levels)
        self._draw_marks()

    def _failed(self, photo: str, refused: Refused) -> None:
        if photo == self.photo:
            self.empty.say(refused.sentence)
            self._room.setCurrentWidget(self.empty)

    def _draw_marks(self) -> None:
        marked = marked_on(self._check, self.photo)
        if marked is None:
            self.canvas.set_layer(_bare(self.canvas))
            self.canvas.set_shown(None)
            return
        self.canvas.set_layer(marked.layer)
        self.canvas.set_shown(Shown(near=marked.result.near, far=marked.result.far))

    def _caption_says(self) -> None:
        photo = self._photo
        if photo is None:
            return
        taken, arrived = photo.taken, photo.stamp.at
        struck = f"struck: {photo.struck.reason}" if photo.struck else ""
        self.caption.say(
            (taken.role, struck, clock_doubt(taken.camera_time, arrived)),
            times_in_words(taken.camera_time, arrived),
        )

    def _say_empty(self) -> None:
        if self._photo is None:
            self.empty.say(
                f"No photo here yet ({self.arrivals.role}): drop one, paste one (Ctrl V), or take "
                "one (T)" if self._place else "No location is shown"
            )  # fmt: skip

    # --- what can be done -----------------------------------------------------------------

    def _made_actions(self) -> dict[str, Action]:
        return {
            "mark": Action("Place rims", ("P",), lambda: self.mark_wanted.emit(self.photo)),
            "take": Action("Take photo", ("T",), self.take_photo),
            "add": Action("Add photo", ("Ctrl+D",), self.taking.choose),
            "compare": Action("Compare", ("C",), lambda: self.compare_wanted.emit(self.photo)),
            "paste": Action("Paste", ("Ctrl+V", "Ctrl+Shift+V"), self.taking.paste),
            "strike": Action("Strike photo", (), self.striking.ask),
        }

    def _offer(self) -> None:
        photo, check = self._photo, self._check
        shown = photo is not None and photo.struck is None and photo.taken.can_be_shown
        measured = check is not None and check.characteristic.kind == "coverage"
        several = self._place is not None and len(photos_in_order(self._place)) > 1
        there = self._place is not None
        wanted = {
            "mark": shown and measured, "take": there, "add": there, "compare": shown and several,
            "paste": there, "strike": photo is not None and photo.struck is None,
        }  # fmt: skip
        self.verbs.offer(tuple(a for name, a in self._all.items() if wanted[name]))

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
            self._sign.show_over(
                self, f"Drop to file at {self._place.location.id} as {self.arrivals.role}"
            )

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

    def _lay_out(self) -> None:
        self._room.addWidget(self.empty)
        self._room.addWidget(self.canvas)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        for widget in (self.caption, self._room, self.incoming, self.striking, self.verbs):
            whole.addWidget(widget, 1 if widget is self._room else 0)


def _bare(canvas: PhotoCanvas) -> Layer:
    area = canvas.picture_area()
    return Layer(width_px=max(1, round(area.width())), height_px=max(1, round(area.height())))
