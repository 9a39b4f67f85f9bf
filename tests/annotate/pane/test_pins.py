import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt

from annotate.marks import Point
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.pins import laid_out
from annotate.pane.shown import Pin
from tests.annotate.pane.rims_drawn import canvas
from tests.annotate.pane.test_canvas_pointer import drag, told

SIZE = (30.0, 26.0)
PINS = [(Point(100, 100), "1"), (Point(400, 300), "2"), (Point(600, 500), "3")]


@pytest.fixture
def pane(qtbot) -> PhotoCanvas:
    return canvas(qtbot)


def crossing(a, b, c, d) -> bool:
    def side(p, q, r) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


@given(seed=st.integers(0, 10_000))
def test_plates_lie_on_no_plate_and_no_place(seed) -> None:
    """Twenty-four places about 90 px apart: as crowded as a block's side on a small window."""
    rng = np.random.default_rng(seed)
    grid = [(90.0 * i, 90.0 * j) for i in range(6) for j in range(4)]
    places = [(x + rng.uniform(-25, 25), y + rng.uniform(-25, 25)) for x, y in grid]
    boxes = laid_out(places, [SIZE] * len(places))
    for k, box in enumerate(boxes):
        assert not any(box.meets(other, clear=0) for other in boxes[:k])
        assert not any(box.holds(at) for at in places)
    ends = [(b.left + b.width / 2, b.top + b.height / 2) for b in boxes]
    for k in range(len(places)):
        for j in range(k):
            assert not crossing(places[k], ends[k], places[j], ends[j])


def test_a_pin_is_pressed_on_its_number_or_its_place(qtbot, pane) -> None:
    pane.set_pins(PINS)
    pressed, pointed = told(pane.pin_pressed), told(pane.pointed)
    pane.viewport().repaint()
    qtbot.mouseClick(pane.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(408, 290))
    plate = pane._pins._boxes[0].translated(pane.to_viewport(Point(100, 100))).center()
    qtbot.mouseClick(pane.viewport(), Qt.MouseButton.LeftButton, pos=plate.toPoint())
    assert pressed == ["2", "1"]
    assert pointed == []
    qtbot.mouseClick(pane.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(250, 480))
    assert len(pointed) == 1


def test_a_movable_pin_is_dragged_and_told_once(qtbot, pane) -> None:
    moved = told(pane.pin_moved)
    pane.set_pins(PINS, movable=True)
    pane.viewport().repaint()
    drag(qtbot, pane, QPoint(404, 298), QPoint(50, 20))
    assert moved == [("2", Point(450.0, 320.0))]
    assert pane._pins.pins[1].at == Point(450.0, 320.0)


def test_a_fixed_pin_does_not_move(qtbot, pane) -> None:
    moved, pressed = told(pane.pin_moved), told(pane.pin_pressed)
    pane.set_pins(PINS)
    pane.viewport().repaint()
    drag(qtbot, pane, QPoint(404, 298), QPoint(50, 20))
    assert (moved, pressed) == ([], [])
    assert pane._pins.pins[1].at == Point(400, 300)


def test_pins_by_keyboard(qtbot, pane) -> None:
    moved, pressed = told(pane.pin_moved), told(pane.pin_pressed)
    pane.set_pins(PINS, movable=True)
    qtbot.keyClick(pane, Qt.Key.Key_Tab)
    qtbot.keyClick(pane, Qt.Key.Key_Tab)
    assert pane.accessibleDescription() == "location 2"
    qtbot.keyClick(pane, Qt.Key.Key_Space)
    assert pressed == ["2"]
    qtbot.keyClick(pane, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert moved == [("2", Point(380, 300))]
    qtbot.keyClick(pane, Qt.Key.Key_Tab)
    qtbot.keyClick(pane, Qt.Key.Key_Tab)  # past the last: none is active
    assert pane._pins.active is None


def test_the_active_pin_stays_when_pins_are_set_anew(qtbot, pane) -> None:
    pane.set_pins(PINS)
    qtbot.keyClick(pane, Qt.Key.Key_Tab)
    pane.set_pins([*reversed(PINS)])
    assert pane._pins.pins[pane._pins.active].text == "1"
    pane.set_pins([Pin(Point(5, 5), "9", ringed=True, dashed=True)])
    assert pane._pins.active is None
    assert not pane.viewport().grab().isNull()


def test_moving_the_picture_lays_nothing_out_anew(qtbot, pane, monkeypatch) -> None:
    calls: list[int] = []

    def counted(places, sizes):
        calls.append(len(places))
        return laid_out(places, sizes)

    monkeypatch.setattr("annotate.pane.pin_board.laid_out", counted)
    pane.set_pins(PINS)
    pane.zoom_to(Point(400, 300), 2.0)
    pane.viewport().repaint()
    drag(qtbot, pane, QPoint(30, 300), QPoint(40, 0))
    pane.viewport().repaint()
    assert calls == [3]
    qtbot.keyClick(pane, Qt.Key.Key_Plus)
    pane.viewport().repaint()
    assert calls == [3, 3]
