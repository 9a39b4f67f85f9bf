"""The canvas by keyboard alone."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from annotate.marks import Distance, Marker, Note, Point, Rim
from annotate.pane.canvas import PhotoCanvas
from annotate.quantity import Quantity
from tests.annotate.pane.rims_drawn import canvas, far_rim, layer, near_rim
from tests.annotate.pane.test_canvas_pointer import told

SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
Key = Qt.Key


@pytest.fixture
def pane(qtbot) -> PhotoCanvas:
    return canvas(qtbot, near_rim(), far_rim())


def test_tab_goes_round_one_rim_and_x_to_the_other(qtbot, pane) -> None:
    seen = []
    for _ in range(9):
        qtbot.keyClick(pane, Key.Key_Tab)
        seen.append((pane.active.name, pane.active.handle))
    assert seen == [("near rim", k % 8) for k in range(9)]
    qtbot.keyClick(pane, Key.Key_X)
    assert (pane.active.name, pane.active.handle, pane.active.count) == ("far rim", 0, 5)
    qtbot.keyClick(pane, Key.Key_Backtab, SHIFT)
    assert (pane.active.name, pane.active.handle) == ("far rim", 4)
    qtbot.keyClick(pane, Key.Key_X)
    assert pane.active.name == "near rim"


def test_the_active_handle_is_told_in_words(qtbot, pane) -> None:
    qtbot.keyClick(pane, Key.Key_X)
    qtbot.keyClick(pane, Key.Key_Tab)
    assert pane.accessibleDescription() == "handle 2 of 8 on the near rim"
    qtbot.keyClick(pane, Key.Key_Escape)
    assert "Tab takes a handle" in pane.accessibleDescription()
    assert pane.accessibleName() == "photo"


def test_esc_then_tab_leaves_the_canvas(qtbot) -> None:
    """Nobody may be caught in here with only a keyboard."""
    window = QWidget()
    qtbot.addWidget(window)
    pane = canvas(qtbot, near_rim(), alone=False)
    box = QLineEdit()
    room = QVBoxLayout(window)
    room.addWidget(pane)
    room.addWidget(box)
    window.show()
    window.activateWindow()
    pane.setFocus()
    qtbot.waitUntil(pane.hasFocus)
    qtbot.keyClick(pane, Key.Key_Tab)
    assert pane.active is not None
    assert pane.hasFocus()
    qtbot.keyClick(pane, Key.Key_Escape)
    qtbot.keyClick(pane, Key.Key_Tab)
    assert box.hasFocus()
    pane.setFocus()
    qtbot.keyClick(pane, Key.Key_Tab)
    assert pane.active is not None


@pytest.mark.parametrize(
    ("key", "by"),
    [
        (Key.Key_Left, (-0.1, 0)),
        (Key.Key_Right, (0.1, 0)),
        (Key.Key_Up, (0, -0.1)),
        (Key.Key_Down, (0, 0.1)),
    ],
)
def test_an_arrow_moves_the_handle_a_tenth_of_a_pixel_and_with_shift_a_whole(
    qtbot, pane, key, by
) -> None:
    qtbot.keyClick(pane, Key.Key_X)
    x, y = pane._editing.active_px
    qtbot.keyClick(pane, key)
    assert pane._editing.active_px == pytest.approx((x + by[0], y + by[1]))
    assert pane._magnifier.isVisible()
    assert "0.1 px" in pane._magnifier.caption
    qtbot.keyClick(pane, key, SHIFT)
    assert pane._editing.active_px == pytest.approx((x + 11 * by[0], y + 11 * by[1]))
    assert (pane.layer().rim("near").placed, pane.layer().rim("near").sigma_px) == ("hand", 1.0)


def test_nudges_of_one_handle_are_one_step(qtbot, pane) -> None:
    before, changed = pane.layer(), told(pane.layer_changed)
    qtbot.keyClick(pane, Key.Key_X)
    for _ in range(5):
        qtbot.keyClick(pane, Key.Key_Up)
    assert len(changed) == 5
    assert pane.undo_stack.count() == 1
    qtbot.keyClick(pane, Key.Key_Tab)
    qtbot.keyClick(pane, Key.Key_Up)
    assert pane.undo_stack.count() == 2
    qtbot.keyClick(pane, Key.Key_Z, CONTROL)
    assert pane.layer() == changed[4]
    qtbot.keyClick(pane, Key.Key_Z, CONTROL)
    assert pane.layer() == before
    qtbot.keyClick(pane, Key.Key_Z, CONTROL | SHIFT)
    assert pane.layer() == changed[4]


def test_delete_takes_the_active_mark_and_undo_brings_it_back(qtbot, pane) -> None:
    before = pane.layer()
    qtbot.keyClick(pane, Key.Key_Delete)
    assert pane.layer() == before
    qtbot.keyClick(pane, Key.Key_X)
    qtbot.keyClick(pane, Key.Key_X)
    qtbot.keyClick(pane, Key.Key_Delete)
    assert [m.which for m in pane.layer().marks] == ["near"]
    assert pane.active is None
    pane.undo()
    assert pane.layer() == before


def test_a_back_rim_is_reached_last(qtbot) -> None:
    back = Rim("back", far_rim(20).points_px, 0.5, "found")
    pane = canvas(qtbot, back, near_rim(), Distance(Point(5, 5), Point(50, 5)))
    names = []
    for _ in range(4):
        qtbot.keyClick(pane, Key.Key_X)
        names.append(pane.active.name)
    assert names == ["near rim", "distance", "back rim", "near rim"]


def test_a_mark_is_placed_with_the_cross_hair(qtbot, pane) -> None:
    pane.start_tool("distance")
    qtbot.keyClick(pane, Key.Key_Space)  # shows it in the middle of the view
    assert pane._crosshair == pane.centre()
    start = pane.centre()
    qtbot.keyClick(pane, Key.Key_Space)
    for _ in range(3):
        qtbot.keyClick(pane, Key.Key_Right, SHIFT)
    qtbot.keyClick(pane, Key.Key_Down)
    qtbot.keyClick(pane, Key.Key_Space)
    end = Point(start.x_px + 60, start.y_px + 2)
    assert pane.layer().marks[-1] == Distance(start, end)


def test_the_cross_hair_moves_finer_the_larger_the_picture_is_shown(qtbot, pane) -> None:
    pane.zoom_to(Point(400, 300), 8.0)
    pane.start_tool("note")
    qtbot.keyClick(pane, Key.Key_Right)
    assert pane._crosshair.x_px - pane.centre().x_px == pytest.approx(0.25)


def test_space_points_without_a_tool(qtbot, pane) -> None:
    pointed = told(pane.pointed)
    qtbot.keyClick(pane, Key.Key_Space)
    assert pointed == []
    qtbot.keyClick(pane, Key.Key_Up)
    qtbot.keyClick(pane, Key.Key_Space)
    assert pointed == [Point(pane.centre().x_px, pane.centre().y_px - 2)]


def test_esc_leaves_one_thing_at_a_time(qtbot, pane) -> None:
    pane.start_tool("note")
    qtbot.keyClick(pane, Key.Key_Space)
    qtbot.keyClick(pane, Key.Key_Escape)
    assert (pane._crosshair, pane.tool) == (None, "note")
    qtbot.keyClick(pane, Key.Key_Escape)
    assert pane.tool == ""
    assert not pane.leave()


def test_backspace_takes_back_a_point(qtbot, pane) -> None:
    pane.start_tool("area")
    for _ in range(2):
        qtbot.keyClick(pane, Key.Key_Space)
        qtbot.keyClick(pane, Key.Key_Right, SHIFT)
    before = pane._draft.points_px
    qtbot.keyClick(pane, Key.Key_Backspace)
    assert pane._draft.points_px == before[:-1]


def test_what_means_nothing_here_goes_on_to_the_window(qtbot) -> None:
    class Window(QWidget):
        heard: list[int] = []  # noqa: RUF012 - of this test alone

        def keyPressEvent(self, event) -> None:  # noqa: N802 - Qt's name
            self.heard.append(event.key())

    window = Window()
    qtbot.addWidget(window)
    pane = canvas(qtbot, near_rim(), alone=False)
    QVBoxLayout(window).addWidget(pane)
    for key in (Key.Key_A, Key.Key_Return, Key.Key_Escape, Key.Key_PageDown, Key.Key_Delete):
        qtbot.keyClick(pane, key)
    assert window.heard == [
        Key.Key_A,
        Key.Key_Return,
        Key.Key_Escape,
        Key.Key_PageDown,
        Key.Key_Delete,
    ]


def test_words_and_labels_are_forgotten_with_their_numbers(qtbot) -> None:
    pane = canvas(qtbot, Distance(Point(5, 5), Point(50, 5)), Note(Point(9, 9), "burr"))
    pane.set_label_of(0, "12.0 mm")
    pane.set_rims(near_rim())
    assert pane._labels == {}


def test_a_nudge_at_the_border_that_changes_nothing_is_no_step(qtbot) -> None:
    pane = canvas(qtbot)
    pane.set_layer(layer(Distance(Point(-0.5, 10), Point(50, 5))))
    qtbot.keyClick(pane, Key.Key_Tab)
    qtbot.keyClick(pane, Key.Key_Left)
    assert pane.undo_stack.count() == 0


def test_a_shortcut_of_the_window_waits_while_a_key_means_something_here(qtbot) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    pane = canvas(qtbot, near_rim(), far_rim(), alone=False)
    QVBoxLayout(window).addWidget(pane)
    window.show()
    window.activateWindow()
    pane.setFocus()
    qtbot.waitUntil(pane.hasFocus)
    fired: list[str] = []
    for key in ("Esc", "X", "A"):
        shortcut = QShortcut(QKeySequence(key), window)
        shortcut.activated.connect(lambda key=key: fired.append(key))
    qtbot.keyClick(pane, Key.Key_Tab)
    qtbot.keyClick(pane, Key.Key_X)
    qtbot.keyClick(pane, Key.Key_A)
    assert pane.active.name == "far rim"
    qtbot.keyClick(pane, Key.Key_Escape)
    assert pane.active is None
    assert fired == ["A"]
    qtbot.keyClick(pane, Key.Key_Escape)
    assert fired == ["A", "Esc"]


def test_a_found_marker_is_chosen_with_x_and_taken_off_with_delete(qtbot, pane) -> None:
    corners = ((10.0, 10.0), (60.0, 10.0), (60.0, 60.0), (10.0, 60.0))
    marker = Marker(corners, Quantity(10.0, "mm"), 7)
    pane.set_layer(replace(pane.layer(), marks=(*pane.layer().marks, marker)))
    for _ in range(3):  # near rim, far rim, marker
        qtbot.keyClick(pane, Key.Key_X)
    assert pane.active is not None
    assert pane.active.mark == marker
    before = pane.layer()
    qtbot.keyClick(pane, Key.Key_Right)
    assert pane.layer() == before  # its corners were found: it can't be moved
    qtbot.keyClick(pane, Key.Key_Delete)
    assert pane.layer().marks == before.marks[:-1]
    pane.undo()
    assert pane.layer() == before


def test_the_owner_s_names_of_the_rims_are_told(qtbot, pane) -> None:
    pane.name_rims("bearing hole", "block hole")
    qtbot.keyClick(pane, Key.Key_Tab)
    assert pane.accessibleDescription() == "handle 1 of 8 on the bearing hole"


@pytest.mark.parametrize("size", [(640, 480), (330, 420), (300, 260)])
def test_the_magnifier_covers_no_handle_it_magnifies(qtbot, pane, size) -> None:
    pane.resize(*size)
    for key in (Key.Key_Tab,) * 8 + (Key.Key_X,) + (Key.Key_Tab,) * 4:
        qtbot.keyClick(pane, key)
        at = pane.to_viewport(Point(*pane._editing.active_px))
        assert pane._magnifier.isVisible()
        assert not pane._magnifier.geometry().contains(at.toPoint())


def test_the_magnifier_keeps_off_its_handle_when_the_window_changes(qtbot, pane) -> None:
    for _ in range(5):
        qtbot.keyClick(pane, Key.Key_Tab)
    for size in ((900, 700), (400, 300), (320, 500)):
        pane.resize(*size)
        at = pane.to_viewport(Point(*pane._editing.active_px))
        box = pane._magnifier.geometry()
        assert not box.contains(at.toPoint())
        assert pane.viewport().rect().contains(box)
    for _ in range(4):
        pane.zoom_at(pane.to_viewport(Point(*pane._editing.active_px)) * 0.9, 1.25)
        at = pane.to_viewport(Point(*pane._editing.active_px))
        assert not pane._magnifier.geometry().contains(at.toPoint())
