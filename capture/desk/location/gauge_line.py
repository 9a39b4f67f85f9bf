"""Which gauge the next reading is taken with, and the list it is chosen from by one key."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from capture.desk.location.captions import gauge_kind, gauge_words
from capture.desk.location.narrow import NarrowVerb
from capture.desk.look.choice import Choice
from capture.desk.look.controls import Verb, label
from capture.desk.look.palette import LIGHT, Palette
from store.stock import GaugeState

_MOST = 9


class GaugeLine(QWidget):
    """The gauge, its last check and what is against it; F6 opens the list, F7 turns the side."""

    def __init__(self, choose: Callable[[], object], turn: Callable[[], object]) -> None:
        super().__init__()
        self._name = label("", "body")
        self._checked = label("", "body", wrap=True)
        self._warning = label("", "body", bold=True, wrap=True)
        self._beside = label("", "body", bold=True, wrap=True)
        self.verb = NarrowVerb("gauge", "F6", bare=True, does=choose)
        self.side = NarrowVerb("side", "F7", bare=True, does=turn)
        for verb in (self.verb, self.side):
            verb.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        line = QHBoxLayout()
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(0)
        line.addWidget(self._name, 1)
        line.addWidget(self.side)
        line.addWidget(self.verb)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(line)
        # What is wrong and what is missing comes first: there may be little room.
        column.addWidget(self._warning)
        column.addWidget(self._beside)
        column.addWidget(self._checked)

    @property
    def text(self) -> str:
        """Everything that is said of the gauge."""
        said = (self._name, self._checked, self._warning, self._beside)
        return " ".join(each.text() for each in said if each.text())

    def show_gauge(
        self, state: GaugeState | None, *, sides: tuple[str, ...], beside: str, zero: str
    ) -> None:
        """Show a gauge; ``zero`` is what it was zeroed to, ``beside`` what else is filed."""
        name, checked, warning = gauge_words(state)
        self._name.setText(name)
        self._checked.setText(checked)
        self._warning.setText(warning)
        self._warning.setVisible(bool(warning))
        said = "; ".join(each for each in (zero, f"Filed with it: {beside}" if beside else "")
                         if each)  # fmt: skip
        self._beside.setText(said)
        self._beside.setVisible(bool(said))
        self.side.setVisible(bool(sides))
        self.setAccessibleName(f"gauge: {self.text}")


class GaugeList(QWidget):
    """The gauges that can read this, each with a figure that chooses it."""

    chosen = Signal(str)

    def __init__(self, leave: Callable[[], object]) -> None:
        super().__init__()
        self._palette = LIGHT
        self._gauges: tuple[GaugeState, ...] = ()
        self._rows: list[Choice] = []
        self._title = label("Which gauge?", "body", bold=True)
        self._none = label("", "caption", wrap=True)
        self._room = QVBoxLayout()
        self._room.setSpacing(0)
        self._leave = Verb("Leave", "Esc", does=leave)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 8)
        column.addWidget(self._title)
        column.addLayout(self._room)
        column.addWidget(self._none)
        column.addWidget(self._leave, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)

    @property
    def gauges(self) -> tuple[GaugeState, ...]:
        """The gauges that are offered, in the order of their figures."""
        return self._gauges

    def offer(self, gauges: tuple[GaugeState, ...], there: int) -> None:
        """Offer these; ``there`` is how many the register has."""
        self._gauges = gauges[:_MOST]
        for row in self._rows:
            self._room.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows = [self._row(number, state) for number, state in enumerate(self._gauges, 1)]
        for row in self._rows:
            self._room.addWidget(row)
        if not gauges:
            words = "No gauge of the register reads this; enter one on the Job screen (F8)."
        else:
            more = there - len(self._gauges)
            words = f"{more} more in the register, which do not read this." if more else ""
        self._none.setText(words)
        self._none.setVisible(bool(words))

    def choose(self, number: int) -> None:
        """Choose the gauge with this figure, if there is one."""
        if 1 <= number <= len(self._gauges):
            self.chosen.emit(self._gauges[number - 1].gauge.id)

    def wear(self, palette: Palette) -> None:
        """Draw in other colours."""
        self._palette = palette
        for row in self._rows:
            row.wear(palette)

    def _row(self, number: int, state: GaugeState) -> Choice:
        _, checked, warning = gauge_words(state)
        about = f"{warning or gauge_kind(state.gauge)}; {checked}"
        made = Choice(state.gauge.id, about, str(number), high=56, does=lambda: self.choose(number))
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        made.wear(self._palette)
        return made
