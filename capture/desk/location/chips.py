"""The checks of one location side by side: sign, short name, a key to jump there."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeySequence, QPainter, QPaintEvent, QPen, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from capture.desk.location.captions import short_name
from capture.desk.look.controls import label
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import font
from store.round import Check, Place

_MOST_KEYS = 9


class CheckChips(QWidget):
    """One chip for each check; Alt and a figure jumps to it. Hidden where there is only one."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._palette = LIGHT
        self._chips: list[_Chip] = []
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(0, 0, 0, 0)
        self._line.setSpacing(4)
        # Once, not on every chip: they are many.
        self._line.addWidget(label("Alt", "caption"))
        self._line.addStretch(1)
        for number in range(1, _MOST_KEYS + 1):
            shortcut = QShortcut(QKeySequence(f"Alt+{number}"), self)
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.activated.connect(lambda number=number: self._jump(number))

    @property
    def names(self) -> list[str]:
        """What the chips say to a screen reader."""
        return [chip.accessibleName() for chip in self._chips]

    def show_place(self, place: Place | None, here: str) -> None:
        """Show the checks of a location, and which one is shown."""
        checks = place.checks if place else ()
        self.setVisible(len(checks) > 1)
        while len(self._chips) > len(checks):
            chip = self._chips.pop()
            self._line.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        while len(self._chips) < len(checks):
            chip = _Chip(len(self._chips) + 1)
            chip.wanted.connect(self.chosen)
            chip.palette_worn = self._palette
            self._line.insertWidget(len(self._chips) + 1, chip)
            self._chips.append(chip)
        for chip, check in zip(self._chips, checks, strict=True):
            chip.show_check(check, here=check.key == here)

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = palette
        for chip in self._chips:
            chip.palette_worn = palette
            chip.update()

    def _jump(self, number: int) -> None:
        if self.isVisible() and number <= len(self._chips):
            self._chips[number - 1].click()


class _Chip(QPushButton):
    """Sign, name and key of one check; a line under the one that is shown."""

    wanted = Signal(str)

    def __init__(self, number: int) -> None:
        super().__init__()
        self.palette_worn = LIGHT
        self._number = number
        self._check: Check | None = None
        self._here = False
        self.setProperty("part", "bare")
        self.setFixedHeight(48)
        self.setAutoDefault(False)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.clicked.connect(
            lambda _=False: self.wanted.emit(self._check.key if self._check else "")
        )

    def show_check(self, check: Check, *, here: bool) -> None:
        """Show another check."""
        self._check, self._here = check, here
        state = "waived" if check.waiver else check.excused or check.state
        key = f", Alt {self._number}" if self._number <= _MOST_KEYS else ""
        self.setAccessibleName(f"{short_name(check)}: {state}{', shown now' if here else ''}{key}")
        self.setToolTip(f"{short_name(check)}: {state}{key}")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for sign, name and figure."""
        name = short_name(self._check) if self._check else ""
        return QSize(QFontMetrics(font("body", bold=True)).horizontalAdvance(name) + 78, 48)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the sign, a few letters and the figure."""
        return QSize(96, 48)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the chip."""
        super().paintEvent(event)
        if self._check is None:
            return
        painter = QPainter(self)
        palette = self.palette_worn
        sign = QRectF(8, 13, 20, 20)
        paint_sign(painter, sign, self._check.state, palette, suspect=bool(self._check.suspect))
        left = 34
        if self._check.waiver is not None:
            paint_slip(painter, QRectF(26, 13, 20, 20), palette)
            left = 50
        painter.setFont(font("caption"))
        figure = (
            f"Alt {self._number}" if self._here or self.width() > self.sizeHint().width() else ""
        )
        figure = str(self._number) if self._number <= _MOST_KEYS else ""
        room = 22 if figure else 6
        painter.setPen(QColor(palette.ink if self._here else palette.ink2))
        painter.setFont(font("body", bold=self._here))
        box = QRect(left, 0, self.width() - left - room, 46)
        name = painter.fontMetrics().elidedText(
            short_name(self._check), Qt.TextElideMode.ElideRight, box.width()
        )
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, name)
        if figure:
            painter.setFont(font("caption"))
            cap = QRect(self.width() - 22, 14, 18, 20)
            painter.setPen(QPen(QColor(palette.ink2), 1))
            painter.drawRoundedRect(cap, 2, 2)
            painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, figure)
        if self._here:
            painter.fillRect(0, 45, self.width(), 3, QColor(palette.accent))
        painter.end()
