"""The screen of a hold point in a window of its own, and what makes the small plan proven."""

from PySide6.QtCore import Qt

from capture.desk.hold.screen import HoldScreen
from capture.desk.look.dress import dress
from capture.desk.where import Where

KEY = Qt.Key
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
PROVEN = (
    ("P1.bore", "40.012 mm +- 0.002 mm"), ("P1.plug", "40.087 mm +- 0.002 mm"),
    ("P1.depth", "3.0 mm +- 0.1 mm BELOW"), ("P1.clean", "yes"),
)  # fmt: skip


def shown(desk, qtbot, hold: str) -> HoldScreen:
    """Return the screen of a hold point, in a window that has the keyboard."""
    screen = HoldScreen(desk)
    qtbot.addWidget(screen)
    screen.setStyleSheet(dress(desk.palette))
    screen.resize(976, 752)
    screen.show()
    qtbot.waitExposed(screen)
    screen.activateWindow()
    qtbot.waitUntil(screen.isActiveWindow)
    desk.round_changed.connect(screen.show_round)
    desk.go(Where("hold", hold))
    screen.enter(desk.where)
    return screen


def prove(desk, qtbot, *but: str) -> None:
    """Type what makes the small plan's P1 proven, but for these checks."""
    for key, text in PROVEN:
        if key not in but:
            desk.act(lambda journey, key=key, text=text: journey.reading(key, text))
    last = [key for key, _ in PROVEN if key not in but][-1]
    qtbot.waitUntil(lambda: desk.round.check(last).current is not None)
