"""The photos of a location as thumbnails, with what each is for, and what is still asked for."""

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from capture.desk.desk import Desk
from capture.desk.look.palette import Palette
from capture.desk.photos.arrivals import arrivals_of
from capture.desk.photos.choice import photo_to_show, photos_in_order, roles_wanted
from capture.desk.photos.thumb import GAP, Thumb, WantedThumb
from capture.desk.shelf import shelf_of
from store.attempt import Photo
from store.plan import Role
from store.round import Check, Place, Round


class PhotoStrip(QWidget):
    """One row. Arrow keys go from photo to photo; what is shown has the accent's outline.

    ``chosen`` carries the SHA-256 of a photo, or "" where a dashed place was chosen: the next
    photo is then taken in that role.
    """

    chosen = Signal(str)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._arrivals, self._shelf = arrivals_of(desk), shelf_of(desk)
        self._place: Place | None = None
        self._shown = ""
        self._thumbs: list[Thumb] = []
        self._drawn: tuple[tuple[Photo, ...], tuple[Role, ...]] = ((), ())
        self._row = QWidget()
        self._line = QHBoxLayout(self._row)
        self._line.setContentsMargins(4, 4, 4, 4)
        self._line.setSpacing(GAP)
        self._line.addStretch(1)
        self._area = QScrollArea()
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setWidgetResizable(True)
        self._area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidget(self._row)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(self._area)
        self.setFixedHeight(Thumb.SIZE.height() + 8)
        self.setAccessibleName("photos of this location")
        self._arrivals.changed.connect(self._mark)
        desk.dressed.connect(self.wear)

    @property
    def shown(self) -> str:
        """The SHA-256 of the photo that is marked as shown."""
        return self._shown

    def show_place(self, place: Place | None, check: Check | None, known: Round | None) -> None:
        """Show a location's photos and the roles that are asked for and missing."""
        same = (
            self._place is not None
            and place is not None
            and (self._place.location.id == place.location.id)
        )
        self._place = place
        photos = photos_in_order(place) if place else ()
        there = {photo.taken.photo for photo in photos}
        if place is None or not same or self._shown not in there:
            self._shown = photo_to_show(place, check) if place else ""
        wanted = roles_wanted(place, check, known) if place else ()
        if (photos, wanted) != self._drawn:
            self._drawn = photos, wanted
            self._build(photos, wanted)
        self._mark()

    def _build(self, photos: tuple[Photo, ...], wanted: tuple[Role, ...]) -> None:
        for thumb in self._thumbs:
            self._line.removeWidget(thumb)
            thumb.hide()
            thumb.deleteLater()
        self._thumbs = [Thumb(photo, self._desk.palette) for photo in photos]
        self._thumbs += [WantedThumb(role, self._desk.palette) for role in wanted]
        for at, thumb in enumerate(self._thumbs):
            self._line.insertWidget(at, thumb)
            thumb.show()  # now: what is shown must be scrolled to, and may get the focus
            thumb.pressed_.connect(lambda thumb=thumb: self._choose(thumb))
            thumb.stepped.connect(lambda step, thumb=thumb: self._step(thumb, step))
            if thumb.photo is not None and thumb.photo.taken.can_be_shown:
                wide, high = Thumb.PICTURE.width(), Thumb.PICTURE.height()
                self._shelf.thumbnail(thumb.photo.taken, wide, high, thumb.take_picture)
        self._line.activate()

    def mark_shown(self, photo_id: str) -> None:
        """Mark a photo as the one that is shown; nobody is told."""
        self._shown = photo_id
        self._mark()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        for thumb in self._thumbs:
            thumb.wear(palette)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Keep what is shown in view."""
        super().resizeEvent(event)
        self._mark()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for three."""
        return QSize(3 * (Thumb.SIZE.width() + GAP), Thumb.SIZE.height() + 8)

    def _step(self, thumb: Thumb, step: int) -> None:
        to = max(0, min(len(self._thumbs) - 1, self._thumbs.index(thumb) + step))
        self._thumbs[to].setFocus(Qt.FocusReason.TabFocusReason)
        self._choose(self._thumbs[to])

    def _choose(self, thumb: Thumb) -> None:
        if thumb.photo is None:
            self._arrivals.next.choose(thumb.role)
            self._shown = ""
        else:
            self._shown = thumb.photo.taken.photo
        self._mark()
        self.chosen.emit(self._shown)

    def _mark(self) -> None:
        """Mark what is shown; where nothing is, the place that the next photo will fill."""
        for thumb in self._thumbs:
            if thumb.photo is not None:
                here = thumb.photo.taken.photo == self._shown
            else:
                here = not self._shown and thumb.role == self._arrivals.next.role
            thumb.set_here(here=here)
            if here:
                self._area.ensureWidgetVisible(thumb, 8, 0)
