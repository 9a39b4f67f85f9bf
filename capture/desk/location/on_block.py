"""A small picture of where on the block this location is: press it for the map."""

from PySide6.QtCore import QPointF, QRect, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QPushButton

from capture.desk.desk import Desk
from capture.desk.look.palette import ON_PHOTO, PLATE
from capture.desk.shelf import shelf_of
from capture.desk.where import Where
from store.evidence import MapPlaced, PhotoTaken
from store.round import Place, Round

WIDE, HIGH = 104, 64


class OnBlock(QPushButton):
    """The face of the block with a cross on it. Hidden where nobody has placed the location."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._picture = QImage()
        self._cross = QPointF()
        self._placed: MapPlaced | None = None
        self.setProperty("part", "bare")
        self.setFixedSize(WIDE, HIGH)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAutoDefault(False)
        self.clicked.connect(lambda _=False: self._to_map())
        self.hide()

    def show_place(self, place: Place | None, known: Round | None) -> None:
        """Show where another location is."""
        told = place.on_map if place else None
        placed = told.record if told and isinstance(told.record, MapPlaced) else None
        taken = _photo(known, placed.photo) if known and placed else None
        self._placed = placed
        self.setVisible(taken is not None)
        if place is None or placed is None or taken is None:
            return
        self.setAccessibleName(f"where {place.location.name} is on the block; to the map (F3)")
        self._cross = _cross(placed, taken)
        self._picture = QImage()
        shelf_of(self._desk).thumbnail(taken, WIDE, HIGH, lambda image: self._take(placed, image))
        self.update()

    def _take(self, placed: MapPlaced, image: QImage) -> None:
        if placed == self._placed:
            self._picture = image
            self.update()

    def _to_map(self) -> None:
        if self._placed is not None:
            self._desk.go(Where("map", self._desk.where.key, part=self._placed.photo))

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return its only size."""
        return QSize(WIDE, HIGH)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the face and the cross: white on a dark casing, as on every photo."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._desk.palette.mat))
        if not self._picture.isNull():
            painter.drawImage(QRect(0, 0, WIDE, HIGH), self._picture)
        for colour, width in ((PLATE, 6), (ON_PHOTO, 2)):
            painter.setPen(QPen(QColor(colour), width))
            x, y = self._cross.x(), self._cross.y()
            painter.drawLine(QPointF(x - 8, y), QPointF(x + 8, y))
            painter.drawLine(QPointF(x, y - 8), QPointF(x, y + 8))
        painter.end()
        if self.hasFocus():
            super().paintEvent(event)


def _photo(known: Round, photo: str) -> PhotoTaken | None:
    return next(
        (p.taken for place in known.places for p in place.photos
         if p.taken.photo == photo and p.taken.can_be_shown),
        None,
    )  # fmt: skip


def _cross(placed: MapPlaced, taken: PhotoTaken) -> QPointF:
    """Return where the location lies in the small picture, which is cut to fill its room."""
    wide, high = taken.width_px or 1, taken.height_px or 1
    scale = max(WIDE / wide, HIGH / high)
    x = (placed.x_px - wide / 2) * scale + WIDE / 2
    y = (placed.y_px - high / 2) * scale + HIGH / 2
    return QPointF(min(max(x, 4), WIDE - 4), min(max(y, 4), HIGH - 4))
