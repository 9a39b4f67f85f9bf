"""One photo of a strip, and one that is asked for and not there: a button each."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QImage, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton

from capture.desk.look.palette import Palette
from capture.desk.look.type import font
from store.attempt import Photo
from store.plan import Role

GAP = 8
_BORDER = 3
_WORD = 24


class Thumb(QAbstractButton):
    """A photo, 104 x 64, with what it is for under it. A struck one has a line through it."""

    PICTURE = QSize(104, 64)
    SIZE = QSize(PICTURE.width() + 2 * _BORDER, PICTURE.height() + 2 * _BORDER + _WORD)
    pressed_ = Signal()
    stepped = Signal(int)  # an arrow key: 1 to the right, -1 to the left

    def __init__(self, photo: Photo | None, palette: Palette) -> None:
        super().__init__()
        self.photo = photo
        self.role: Role = photo.taken.role if photo else "close-up"
        self._palette, self._here = palette, False
        self._image = QImage()
        self.setFixedSize(self.SIZE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self._name())
        self.clicked.connect(self.pressed_)

    def set_here(self, *, here: bool) -> None:
        """Show whether this is the one that is shown."""
        self._here = here
        self.setAccessibleDescription("shown now" if here else "")
        self.update()

    def take_picture(self, image: QImage) -> None:
        """Draw this picture from now on."""
        self._image = image
        self.update()

    def wear(self, palette: Palette) -> None:
        """Draw in these colours from now on."""
        self._palette = palette
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Hand arrow keys to the strip: a button would only move the focus by them."""
        step = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(step)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 - Qt's name
        """Draw the picture, its outline and its word."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        picture = QRect(_BORDER, _BORDER, self.PICTURE.width(), self.PICTURE.height())
        self._draw_picture(painter, picture)
        self._draw_outline(painter, QRectF(picture))
        painter.setPen(QColor(self._palette.ink if self._here else self._palette.ink2))
        painter.setFont(font("caption", bold=self._here))
        words = painter.fontMetrics().elidedText(
            self._words(), Qt.TextElideMode.ElideRight, self.width()
        )
        under = QRect(_BORDER, self.height() - _WORD, self.width() - _BORDER, _WORD)
        painter.drawText(under, Qt.AlignmentFlag.AlignVCenter, words)
        painter.end()

    def _draw_picture(self, painter: QPainter, picture: QRect) -> None:
        painter.fillRect(picture, QColor(self._palette.mat))
        if self._image.isNull():
            if self.photo is not None and not self.photo.taken.can_be_shown:
                painter.setPen(QColor(self._palette.ink))
                painter.setFont(font("caption"))
                painter.drawText(
                    picture, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                    "kept, can't\nbe shown",
                )  # fmt: skip
        else:
            painter.drawImage(picture, self._image)
        if self.photo is not None and self.photo.struck is not None:
            painter.setPen(QPen(QColor("#000000"), 5))
            painter.drawLine(picture.bottomLeft(), picture.topRight())
            painter.setPen(QPen(QColor("#FFFFFF"), 2.5))
            painter.drawLine(picture.bottomLeft(), picture.topRight())

    def _draw_outline(self, painter: QPainter, picture: QRectF) -> None:
        if self.hasFocus() or self._here:
            wide = _BORDER if not self.hasFocus() else _BORDER + 1
            painter.setPen(QPen(QColor(self._palette.accent), wide))
            half = _BORDER / 2
            painter.drawRect(picture.adjusted(-half, -half, half, half))

    def _words(self) -> str:
        struck = self.photo is not None and self.photo.struck is not None
        return f"{self.role}, struck" if struck else self.role

    def _name(self) -> str:
        return f"photo, {self._words()}"


class WantedThumb(Thumb):
    """A dashed place: a hold point asks for a photo in this role and there is none."""

    def __init__(self, role: Role, palette: Palette) -> None:
        super().__init__(None, palette)
        self.role = role
        self.setAccessibleName(f"{role}: none yet; the next photo is taken as this")

    def _draw_picture(self, painter: QPainter, picture: QRect) -> None:
        pen = QPen(QColor(self._palette.ink2), 2)
        pen.setDashPattern([3.0, 2.5])
        painter.setPen(pen)
        painter.drawRect(QRectF(picture).adjusted(1, 1, -1, -1))

    def _words(self) -> str:
        return f"{self.role}: none"
