"""The canvas by mouse: real presses, moves and releases."""

from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from annotate.marks import (
    Area,
    Diameter,
    Distance,
    FarUnseen,
    KnownCircle,
    KnownDistance,
    Note,
    Point,
    Rim,
)
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.shown import Shown
from annotate.quantity import Quantity
from tests.annotate.pane.rims_drawn import FAR, NEAR, canvas, far_rim, layer, near_rim

MM = Quantity(20.0, "mm", 0.01)
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def pane(qtbot) -> PhotoCanvas:
    return canvas(qtbot, near_rim(), far_rim())


def on_screen(pane, pair) -> QPoint:
    return pane.to_viewport(Point(*pair)).toPoint()


def told(signal) -> list[Any]:
    heard: list[Any] = []
    signal.connect(lambda *what: heard.append(what[0] if len(what) == 1 else what))
    return heard


def drag(qtbot, pane, start: QPoint, by: QPoint, button=LEFT) -> None:
    qtbot.mousePress(pane.viewport(), button, pos=start)
    for k in range(1, 5):
        qtbot.mouseMove(pane.viewport(), start + by * k / 4)
    qtbot.mouseRelease(pane.viewport(), button, pos=start + by)


def click(qtbot, pane, *at: tuple[int, int]) -> None:
    for x, y in at:
        qtbot.mouseClick(pane.viewport(), LEFT, pos=QPoint(x, y))


def test_a_dragged_handle_is_one_edit_by_hand_that_undo_takes_back(qtbot, pane) -> None:
    before = pane.layer()
    changed = told(pane.layer_changed)
    handle = pane._editing.handles(0)[2]
    drag(qtbot, pane, on_screen(pane, handle), QPoint(12, -8))
    assert changed == [pane.layer()]
    rim = pane.layer().rim("near")
    assert (rim.placed, rim.sigma_px) == ("hand", 1.0)
    assert pane.layer().rim("far") == before.rim("far")
    moved = pane._editing.handles(0)[2]
    assert moved == pytest.approx((handle[0] + 12, handle[1] - 8))
    pane.undo()
    assert pane.layer() == before
    assert changed[-1] == before
    pane.redo()
    assert pane.layer().rim("near") == rim


def test_a_handle_is_taken_within_22_px_and_no_farther(qtbot, pane) -> None:
    x, y = pane._editing.handles(0)[0]
    outward = 1 if x > NEAR.cx else -1
    drag(qtbot, pane, on_screen(pane, (x + 21 * outward, y)), QPoint(5 * outward, 0))
    assert pane.undo_stack.count() == 1
    assert pane._editing.handles(0)[0][0] == pytest.approx(x + 5 * outward, abs=1e-6)
    pane.undo()
    drag(qtbot, pane, on_screen(pane, (x + 24 * outward, y)), QPoint(5 * outward, 0))
    assert pane.layer().rim("near").placed == "found"


def test_a_pressed_handle_that_does_not_move_is_active_and_no_edit(qtbot, pane) -> None:
    active = told(pane.active_changed)
    qtbot.mouseClick(pane.viewport(), LEFT, pos=on_screen(pane, pane._editing.handles(1)[1]))
    assert (active[-1].mark_index, active[-1].handle, active[-1].name) == (1, 1, "far rim")
    assert pane.undo_stack.count() == 0


def test_the_magnifier_shows_while_dragging_in_the_corner_farthest_away(qtbot, pane) -> None:
    start = on_screen(pane, pane._editing.handles(0)[0])
    qtbot.mousePress(pane.viewport(), LEFT, pos=start)
    assert not pane._magnifier.isVisible()
    qtbot.mouseMove(pane.viewport(), start + QPoint(9, 0))
    assert pane._magnifier.isVisible()
    middle = pane._magnifier.geometry().center()
    assert (middle.x() < 400) == (start.x() >= 400)
    assert (middle.y() < 300) == (start.y() >= 300)
    qtbot.mouseRelease(pane.viewport(), LEFT, pos=start + QPoint(9, 0))
    assert not pane._magnifier.isVisible()


def test_esc_takes_a_drag_back(qtbot, pane) -> None:
    before = pane.layer()
    start = on_screen(pane, pane._editing.handles(0)[0])
    qtbot.mousePress(pane.viewport(), LEFT, pos=start)
    qtbot.mouseMove(pane.viewport(), start + QPoint(30, 0))
    assert pane._editing.draft_layer != before
    qtbot.keyClick(pane, Qt.Key.Key_Escape)
    qtbot.mouseRelease(pane.viewport(), LEFT, pos=start + QPoint(30, 0))
    assert pane.layer() == pane._editing.draft_layer == before
    assert pane.undo_stack.count() == 0


def test_a_click_is_told_to_the_pixel_and_a_drag_is_not(qtbot, pane) -> None:
    pointed = told(pane.pointed)
    click(qtbot, pane, (700, 50))
    # The screen pixel's corner is picture corner 700: half a pixel before the centre of 700.
    assert pointed == [Point(699.5, 49.5)]
    drag(qtbot, pane, QPoint(700, 50), QPoint(40, 0))
    assert len(pointed) == 1


def test_a_click_beside_the_picture_says_nothing(qtbot) -> None:
    pane = canvas(qtbot, size=(300, 600))
    pointed = told(pane.pointed)
    click(qtbot, pane, (20, 300), (400, 300))
    assert [p.y_px for p in pointed] == [299.5]


def test_dragging_moves_an_enlarged_picture(qtbot, pane) -> None:
    pane.zoom_to(Point(400, 300), 2.0)
    before = pane.centre()
    drag(qtbot, pane, QPoint(20, 20), QPoint(60, 40))
    assert pane.centre().x_px == pytest.approx(before.x_px - 30, abs=0.6)
    assert pane.centre().y_px == pytest.approx(before.y_px - 20, abs=0.6)
    assert pane.undo_stack.count() == 0


def test_the_middle_button_moves_the_picture_under_a_tool(qtbot, pane) -> None:
    pane.zoom_to(Point(400, 300), 2.0)
    pane.start_tool("distance")
    drag(qtbot, pane, QPoint(300, 300), QPoint(60, 0), Qt.MouseButton.MiddleButton)
    assert pane.centre().x_px == pytest.approx(399.5 - 30, abs=1)
    assert pane._draft.points_px == ()


def test_a_distance_is_two_clicks(qtbot, pane) -> None:
    tools, changed = told(pane.tool_changed), told(pane.layer_changed)
    pane.start_tool("distance")
    click(qtbot, pane, (50, 60), (90, 70))
    assert pane.layer().marks[-1] == Distance(Point(49.5, 59.5), Point(89.5, 69.5))
    assert tools == ["distance", ""]
    assert len(changed) == 1


def test_a_point_is_placed_where_the_button_is_let_go(qtbot, pane) -> None:
    pane.start_tool("note")
    wanted = told(pane.words_wanted)
    drag(qtbot, pane, QPoint(50, 60), QPoint(33, 12))
    assert wanted == [Point(82.5, 71.5)]
    pane.give_words("burr")
    assert pane.layer().marks[-1] == Note(Point(82.5, 71.5), "burr")


def test_a_scale_asks_for_its_length(qtbot, pane) -> None:
    wanted = told(pane.length_wanted)
    pane.start_tool("scale")
    click(qtbot, pane, (50, 60), (90, 70))
    assert wanted[0].points_px == ((49.5, 59.5), (89.5, 69.5))
    assert len(pane.layer().marks) == 2
    click(qtbot, pane, (10, 10))  # waits: a click more changes nothing
    pane.give_length(MM)
    assert pane.layer().marks[-1] == KnownDistance(Point(49.5, 59.5), Point(89.5, 69.5), MM)
    assert pane.tool == ""


def test_a_scale_without_an_answer_is_dropped(qtbot, pane) -> None:
    before = pane.layer()
    pane.start_tool("scale")
    click(qtbot, pane, (50, 60), (90, 70))
    pane.give_length(None)
    assert pane.layer() == before
    assert pane.tool == ""
    pane.give_length(MM)  # nobody asked
    assert pane.layer() == before


def test_an_area_ends_on_its_first_corner(qtbot, pane) -> None:
    pane.start_tool("area")
    click(qtbot, pane, (50, 60), (90, 70), (80, 120), (52, 61))
    assert pane.layer().marks[-1] == Area(((49.5, 59.5), (89.5, 69.5), (79.5, 119.5)))


def test_ctrl_return_ends_what_goes_on(qtbot, pane) -> None:
    refused = told(pane.refused)
    pane.start_tool("diameter")
    click(qtbot, pane, (50, 60), (90, 70))
    qtbot.keyClick(pane, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert refused == ["the diameter needs one more point: place them along its edge"]
    click(qtbot, pane, (80, 120))
    qtbot.keyClick(pane, Qt.Key.Key_Return)  # Return alone belongs to readings
    assert len(pane.layer().marks) == 2
    qtbot.keyClick(pane, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert isinstance(pane.layer().marks[-1], Diameter)


def test_a_known_circle_is_points_and_a_length(qtbot, pane) -> None:
    pane.start_tool("circle")
    click(qtbot, pane, (50, 60), (90, 70), (100, 110), (60, 120), (40, 90))
    qtbot.keyClick(pane, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    pane.give_length(MM)
    assert isinstance(pane.layer().marks[-1], KnownCircle)


def test_a_rim_by_hand_takes_the_place_of_the_found_one(qtbot, pane) -> None:
    pane.start_tool("near rim")
    click(qtbot, pane, (50, 60), (90, 70), (100, 110), (60, 120), (40, 90))
    qtbot.keyClick(pane, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    rims = [m for m in pane.layer().marks if isinstance(m, Rim)]
    assert [(r.which, r.placed) for r in rims] == [("far", "found"), ("near", "hand")]
    pane.undo()
    assert pane.layer() == layer(near_rim(), far_rim())


def test_a_tool_in_hand_leaves_handles_alone(qtbot, pane) -> None:
    pane.start_tool("distance")
    at = on_screen(pane, pane._editing.handles(0)[0])
    drag(qtbot, pane, at, QPoint(30, 0))
    assert pane.layer() == layer(near_rim(), far_rim())
    assert len(pane._draft.points_px) == 1


def test_undo_with_a_tool_takes_back_its_last_point_first(qtbot, pane) -> None:
    pane.start_tool("area")
    click(qtbot, pane, (50, 60), (90, 70))
    qtbot.keyClick(pane, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert pane._draft.points_px == ((49.5, 59.5),)


def test_found_rims_are_one_step(qtbot) -> None:
    pane = canvas(qtbot)
    changed = told(pane.layer_changed)
    pane.set_rims(near_rim(), FarUnseen("open"))
    assert len(changed) == 1
    pane.set_rims(near_rim(), far_rim(), Rim("back", far_rim(20).points_px, 0.5, "found"))
    assert [type(m) for m in pane.layer().marks] == [Rim, Rim, Rim]
    pane.set_rims(near_rim(100), far_rim())
    # The back rim was found behind another near rim.
    assert [m.which for m in pane.layer().marks] == ["near", "far"]
    pane.undo()
    pane.undo()
    assert pane.layer().marks == (near_rim(), FarUnseen("open"))


def test_accepted_rims_cannot_be_dragged(qtbot, pane) -> None:
    pane.set_shown(Shown(near=NEAR, far=FAR))
    drag(qtbot, pane, on_screen(pane, pane._editing.handles(0)[0]), QPoint(30, 0))
    qtbot.keyClick(pane, Qt.Key.Key_X)
    assert pane.active is None
    assert pane.undo_stack.count() == 0
    pane.set_shown(None)
    drag(qtbot, pane, on_screen(pane, pane._editing.handles(0)[0]), QPoint(30, 0))
    assert pane.undo_stack.count() == 1


def test_a_handle_stays_in_the_picture(qtbot, pane) -> None:
    pane.set_layer(layer(Distance(Point(20, 20), Point(60, 60))))
    drag(qtbot, pane, QPoint(20, 20), QPoint(-60, -60))
    assert pane.layer().marks[0].a == Point(-0.5, -0.5)


def test_points_carried_past_the_border_stay_on_it(qtbot) -> None:
    turns = np.radians(np.arange(60) * 6.0)
    x, y = 70 + 68 * np.cos(turns), 300 + 68 * np.sin(turns)
    rim = Rim("near", tuple(zip(x.tolist(), y.tolist(), strict=True)), 0.5, "found")
    pane = canvas(qtbot, rim)
    handles = np.array(pane._editing.handles(0))
    drag(qtbot, pane, on_screen(pane, handles[handles[:, 0].argmin()]), QPoint(-40, 0))
    moved = pane.layer().rim("near").array_px()
    assert moved[:, 0].min() == -0.5
    assert (moved[:, 0] == -0.5).sum() > 1


def test_a_layer_of_another_picture_is_refused(pane) -> None:
    with pytest.raises(ValueError, match="another size"):
        pane.set_layer(layer(size=(10, 10)))


def test_a_new_layer_has_nothing_to_undo(qtbot, pane) -> None:
    changed = told(pane.layer_changed)
    pane.set_rims(near_rim(90))
    pane.set_layer(layer())
    assert pane.undo_stack.count() == 0
    assert len(changed) == 1


def test_an_unknown_tool_is_refused(pane) -> None:
    with pytest.raises(ValueError, match="unknown tool"):
        pane.start_tool("hammer")
