"""The checks of one location side by side: sign, short name, a key to jump there."""

from typing import Literal

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetrics,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QShortcut,
)
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from capture.desk.location.captions import short_name
from capture.desk.look.palette import LIGHT, Palette
from capture.desk.look.signs import paint_sign, paint_slip
from capture.desk.look.type import font
from store.round import Check, Place

_MOST_KEYS = 9
# Names with whole keys, names with figures, names alone, figures alone: a name says most.
_Says = Literal["keys", "numbers", "names", "figures"]
_SAYS: tuple[_Says, ...] = ("keys", "numbers", "names", "figures")


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
        self._line.addStretch(1)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(48)
        for number in range(1, _MOST_KEYS + 1):
            shortcut = QShortcut(QKeySequence(f"Alt+{number}"), self)
            shortcut.setContext(Qt.ShortcutContext.WindowShortcut)
            shortcut.activated.connect(lambda number=number: self._jump(number))

    @property
    def shown(self) -> list[str]:
        """What is written on the chips."""
        return [chip.shown for chip in self._chips]

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
            self._line.insertWidget(len(self._chips), chip)
            self._chips.append(chip)
        for chip, check in zip(self._chips, checks, strict=True):
            chip.show_check(check, here=check.key == here)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Say as much as fits into the new width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Show every name where they all fit, else the name of the check that is shown only.

        A name that is cut says nothing; signs and figures stand side by side in any case.
        """
        for says in _SAYS:
            for chip in self._chips:
                chip.says = says
                chip.updateGeometry()
                chip.update()
            wide = sum(chip.sizeHint().width() + 4 for chip in self._chips)
            if wide <= self.width():
                break

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
        self.says: _Says = "keys"
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
        """Return room for what it says."""
        return QSize(self._left() + self._name_wide() + self._cap_wide() + 10, 48)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for the sign and a figure."""
        return QSize(48, 48)

    @property
    def shown(self) -> str:
        """What is written on it."""
        return " ".join(each for each in (self._name(), self._key()) if each)

    def _name(self) -> str:
        if self._check is None or (self.says == "figures" and not self._here):
            return ""
        return short_name(self._check)

    def _key(self) -> str:
        if self._number > _MOST_KEYS:
            return "" if self._name() else str(self._number)
        if self.says == "names":
            return ""
        # Once in full, so that a lone figure is not taken for the key itself.
        whole = self.says == "keys" or self._here
        return f"Alt {self._number}" if whole else str(self._number)

    def _left(self) -> int:
        return 50 if self._check is not None and self._check.waiver is not None else 34

    def _name_wide(self) -> int:
        name = self._name()
        return QFontMetrics(font("body", bold=True)).horizontalAdvance(name) + 8 if name else 0

    def _cap_wide(self) -> int:
        key = self._key()
        return QFontMetrics(font("caption")).horizontalAdvance(key) + 10 if key else 0

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the chip: sign, name, and the key right beside its word."""
        super().paintEvent(event)
        if self._check is None:
            return
        painter = QPainter(self)
        palette = self.palette_worn
        sign = QRectF(8, 13, 20, 20)
        paint_sign(painter, sign, self._check.state, palette, suspect=bool(self._check.suspect))
        if self._check.waiver is not None:
            paint_slip(painter, QRectF(26, 13, 20, 20), palette)
        painter.setPen(QColor(palette.ink if self._here else palette.ink2))
        painter.setFont(font("body", bold=self._here))
        room = max(0, self.width() - self._left() - self._cap_wide() - 10)
        name = painter.fontMetrics().elidedText(self._name(), Qt.TextElideMode.ElideRight, room)
        box = QRect(self._left(), 0, room, 46)
        painter.drawText(box, Qt.AlignmentFlag.AlignVCenter, name)
        wide = painter.fontMetrics().horizontalAdvance(name)
        self._paint_cap(painter, self._left() + (wide + 8 if name else 0))
        if self._here:
            painter.fillRect(0, 45, self.width(), 3, QColor(palette.accent))
        painter.end()

    def _paint_cap(self, painter: QPainter, x: int) -> None:
        if not self._key():
            return
        painter.setFont(font("caption"))
        cap = QRect(x, 14, self._cap_wide(), 20)
        painter.setPen(QPen(QColor(self.palette_worn.ink2), 1))
        if self._number <= _MOST_KEYS:
            painter.drawRoundedRect(cap, 2, 2)
        painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, self._key())
