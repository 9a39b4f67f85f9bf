"""Rims placed by hand, moved, taken back, accepted; and nothing of the number meanwhile."""

from math import cos, pi, sin

import pytest
from PySide6.QtCore import QPoint, Qt

from annotate.marks import FarUnseen, Layer, Point, Rim
from annotate.result import Known
from capture.desk.marking.rim_names import RimNames
from capture.desk.marking.rims_page import RimsPage
from capture.desk.where import Where
from capture.words.quantities import quantity_text
from tests.capture.desk.marking.conftest import (
    accept,
    all_words,
    go_to,
    place,
    place_by_hand,
    press,
)
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]
LIMIT = ("40 %", "at most", "verdict", "within", "builder's own")
CONTROL = Qt.KeyboardModifier.ControlModifier


def test_hand_rims_hold_the_truth_and_no_number_shows_while_they_are_placed(
    demo, filed, opened, qtbot
) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    place_by_hand(screen, HOLE, qtbot)
    assert [rim.placed for rim in (screen.canvas.layer().rim(w) for w in ("near", "far"))] == [
        "hand", "hand",
    ]  # fmt: skip
    accept(screen, demo, qtbot)
    check = demo.round.check("B3.covered")
    covered, uncovered = check.current.record.result.covered, check.current.record.result.open
    assert isinstance(covered, Known)
    low, high = covered.quantity.interval()
    assert low <= HOLE["covered"] <= high  # sample_images/answers.toml

    # The number, the verdict and the limit exist now, and must not stand here again.
    go_to(screen, demo, Where("marking", "B3.covered", photo=photo), qtbot)
    place_by_hand(screen, HOLE, qtbot)
    for page in ("rims", "sizes", "measure"):
        screen._turn(page)
        words = all_words(screen)
        assert "Accept both rims" in words or page == "measure"
        for told in (quantity_text(covered.quantity), quantity_text(uncovered.quantity), *LIMIT):
            assert told not in words
        assert check.state not in words
    screen._turn("rims")
    assert "stay covered until you accept" in all_words(screen)
    assert "marks no. 2 on this photo" in all_words(screen)


def test_a_handle_is_dragged_nudged_taken_back_and_done_again(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    canvas = screen.canvas
    canvas.fit_whole()
    placed = canvas.layer()
    zoom = canvas.zoom()
    start = canvas.to_viewport(Point(*placed.rim("near").points_px[2])).toPoint()
    view = canvas.viewport()
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(view, start + QPoint(3, 0))
    qtbot.mouseMove(view, start + QPoint(8, 0))
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(8, 0))
    moved = canvas.layer().rim("near")
    before, after = placed.rim("near").points_px[2], moved.points_px[2]
    assert abs(after[0] - before[0] - 8 / zoom) < 0.6 / zoom
    assert after[1] == before[1]

    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    nudged = canvas.layer().rim("near").points_px[2]
    assert abs(nudged[0] - after[0] - 0.1) < 1e-9

    qtbot.keyClick(screen, Qt.Key.Key_Z, CONTROL)
    qtbot.keyClick(screen, Qt.Key.Key_Z, CONTROL)
    assert canvas.layer() == placed
    qtbot.keyClick(screen, Qt.Key.Key_Y, CONTROL)
    qtbot.keyClick(screen, Qt.Key.Key_Y, CONTROL)
    assert canvas.layer().rim("near").points_px[2] == nudged


def test_accepting_waits_for_both_rims_and_a_far_rim_may_be_out_of_sight(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    verb = screen.column.accept_verb
    assert not verb.isEnabled()
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    assert not verb.isEnabled()
    assert verb.accessibleDescription() == "the block hole's rim is not placed yet"
    qtbot.keyClick(screen, Qt.Key.Key_U)
    (said,) = (m for m in screen.canvas.layer().marks if isinstance(m, FarUnseen))
    assert (said.looks, said.placed) == ("shut", "hand")
    assert verb.isEnabled()
    assert screen.question == "Do both rims lie on their edges?"


def test_return_never_accepts(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place_by_hand(screen, HOLE, qtbot)
    for key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        qtbot.keyClick(screen.canvas, key)
    assert screen.placing.state == "placing"
    assert demo.round.check("B3.covered").attempts == ()


def test_too_few_points_are_refused_in_a_sentence(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    qtbot.keyClick(screen, Qt.Key.Key_N)
    for at in HOLE["near_points"][:3]:
        press(screen, at, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_Return, CONTROL)
    assert "Not done: the bearing hole's rim needs 2 more points" in all_words(screen)
    assert screen.canvas.tool == "near rim"


@pytest.mark.parametrize(
    "names", [RimNames(), RimNames("bearing's own oil hole", "drilling behind it")]
)
def test_the_ways_by_hand_fit_the_narrow_column_whatever_the_holes_are_called(
    qtbot, names: RimNames
) -> None:
    page = RimsPage()
    qtbot.addWidget(page)
    page.name_rims(names)
    circle = [(500 + 100 * cos(k * pi / 4), 400 + 100 * sin(k * pi / 4)) for k in range(8)]
    near = Rim("near", tuple(circle), 1.0)
    page.show_layer(Layer(width_px=1000, height_px=800, marks=(near,)), None)
    assert [verb.words() for verb in page.verbs if not verb.isHidden()].count("all shut") == 1
    # 352 in a window of 1280, less the scroll bar beside it.
    assert page.minimumSizeHint().width() <= 338
