"""The line of messages: what stays until it was read, and the key that closes it."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from capture.desk.said import Said

CTRL = Qt.KeyboardModifier.ControlModifier


def test_ctrl_w_closes_a_refusal_and_only_that(small, qtbot) -> None:
    window = QWidget()
    said = Said(small)
    QVBoxLayout(window).addWidget(said)
    qtbot.addWidget(window)
    window.resize(800, 200)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    qtbot.keyClick(window, Qt.Key.Key_W, CTRL)
    assert window.isVisible()
    small.told.emit("kept")
    assert said.text == "Kept"
    assert not said._plate.close_verb.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_W, CTRL)
    assert said.text == "Kept"  # it goes by itself: no key is printed on it
    small.refused.emit("it is hidden; open it first")
    assert said._plate.close_verb.accessibleName() == "Close (Ctrl W)"
    assert said._plate.close_verb.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_W, CTRL)
    assert said.text == ""
    assert window.isVisible()
