"""A far opening that is no circle: drawn by its corners, taken back, moved, accepted."""

from math import cos, pi, radians, sin

import pytest
from PySide6.QtCore import Qt

from annotate.marks import FarOutline, FarUnseen, PixelPair, Point, Rim
from annotate.pane.rim_fit import fit_rim
from annotate.result import Known
from capture.desk.marking.rims_sought import seek_rims
from capture.desk.where import Where
from capture.intake.photo import read_photo
from capture.layers import bare_layer
from tests.capture.command import SAMPLES
from tests.capture.desk.marking.conftest import (
    accept,
    all_words,
    find,
    go_to,
    place,
    press,
)
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]
CONTROL = Qt.KeyboardModifier.ControlModifier
CORNERS = 20


def whole_far_rim() -> list[PixelPair]:
    """Return corners all round the far hole of the picture, its hidden stretch too.

    Its seen arc is that of answers.toml; what goes on behind is an ellipse of the near one's form.
    """
    near = fit_rim(Rim("near", tuple(map(tuple, HOLE["near_points"])), 1.0))
    assert near is not None
    far = fit_rim(Rim("far", tuple(map(tuple, HOLE["far_points"])), 1.0), near.outline)
    assert far is not None
    e, corners = far.outline, []
    for step in range(CORNERS):
        t, turn = 2 * pi * step / CORNERS, radians(e.angle_deg)
        x, y = e.semi_major * cos(t), e.semi_minor * sin(t)
        corners.append((e.cx + x * cos(turn) - y * sin(turn), e.cy + x * sin(turn) + y * cos(turn)))
    return corners


def look_close(screen) -> None:
    """Enlarge the hole, as a hand does before it draws: else corners lie within one grab."""
    xs, ys = zip(*whole_far_rim(), strict=True)
    room = min(screen.canvas.viewport().width(), screen.canvas.viewport().height())
    middle = Point((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    screen.canvas.zoom_to(middle, 0.8 * room / max(max(xs) - min(xs), max(ys) - min(ys)))


def outline_on(screen) -> FarOutline | None:
    return next((m for m in screen.canvas.layer().marks if isinstance(m, FarOutline)), None)


def test_a_drawn_opening_holds_the_truth_and_says_it_is_as_good_as_the_drawing(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    look_close(screen)
    assert not screen.column.accept_verb.isEnabled()
    place(screen, Qt.Key.Key_D, whole_far_rim(), qtbot)
    assert screen.question == "Does the drawing lie on the edges?"
    words = all_words(screen)
    assert f"Drawn by hand with {CORNERS} corners" in words
    assert "Accept rim and opening" in words
    assert "all shut" not in words
    accept(screen, demo, qtbot)
    record = demo.round.check("B3.covered").current.record
    assert any(isinstance(mark, FarOutline) for mark in record.layer.marks)
    assert record.layer.rim("far") is None
    covered = record.result.covered
    assert isinstance(covered, Known)
    low, high = covered.quantity.interval()
    assert low <= HOLE["covered"] <= high  # sample_images/answers.toml
    assert any("as it was drawn" in warning for warning in record.result.warnings)


def test_corners_are_taken_back_one_by_one_then_the_whole_and_come_again(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    canvas, corners = screen.canvas, whole_far_rim()
    qtbot.keyClick(screen, Qt.Key.Key_D)
    assert canvas.tool == "far outline"
    assert "hidden too" in screen.keys._held.text()
    for at in corners[:4]:
        press(screen, at, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_Z, CONTROL)
    qtbot.keyClick(screen, Qt.Key.Key_Return, CONTROL)
    drawn = outline_on(screen)
    assert len(drawn.corners_px) == 3
    qtbot.keyClick(screen, Qt.Key.Key_Z, CONTROL)
    assert outline_on(screen) is None
    qtbot.keyClick(screen, Qt.Key.Key_Y, CONTROL)
    assert outline_on(screen) == drawn
    # A corner is a handle: the keys take it and move it a tenth of a pixel.
    canvas.setFocus()
    qtbot.keyClick(canvas, Qt.Key.Key_Tab)
    qtbot.keyClick(canvas, Qt.Key.Key_Right)
    assert outline_on(screen).corners_px[0][0] == pytest.approx(drawn.corners_px[0][0] + 0.1)
    qtbot.keyClick(screen, Qt.Key.Key_Z, CONTROL)
    assert outline_on(screen) == drawn


def test_too_few_corners_are_refused_in_a_sentence(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    qtbot.keyClick(screen, Qt.Key.Key_D)
    for at in whole_far_rim()[:2]:
        press(screen, at, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_Return, CONTROL)
    assert "Not done: the drawn opening needs one more point" in all_words(screen)
    assert screen.canvas.tool == "far outline"


def test_a_layer_says_one_thing_of_the_far_hole(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    place(screen, Qt.Key.Key_F, HOLE["far_points"], qtbot)
    place(screen, Qt.Key.Key_D, whole_far_rim(), qtbot)
    assert screen.canvas.layer().rim("far") is None
    place(screen, Qt.Key.Key_F, HOLE["far_points"], qtbot)
    assert outline_on(screen) is None
    place(screen, Qt.Key.Key_D, whole_far_rim(), qtbot)
    screen.placing.say_far("shut")
    assert outline_on(screen) is None
    assert any(isinstance(mark, FarUnseen) for mark in screen.canvas.layer().marks)


def test_after_an_opening_was_drawn_a_press_looks_for_the_near_rim_alone(
    demo, filed, opened, qtbot
) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    look_close(screen)
    place(screen, Qt.Key.Key_D, whole_far_rim(), qtbot)
    assert screen.placing.state == "press"
    drawn = outline_on(screen)
    find(screen, HOLE["click"], qtbot)
    assert screen.placing.state == "placing"
    assert screen.canvas.layer().rim("near").placed == "found"
    assert screen.canvas.layer().rim("far") is None
    assert outline_on(screen) == drawn
    # Left and come back to: the draft keeps the drawing.
    go_to(screen, demo, Where("marking", "B3.covered", photo=photo), qtbot)
    qtbot.waitUntil(lambda: outline_on(screen) == drawn)


def test_an_opening_that_crosses_itself_is_refused_and_nothing_is_kept(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place(screen, Qt.Key.Key_N, HOLE["near_points"], qtbot)
    a, b, c, d = whole_far_rim()[::5]
    place(screen, Qt.Key.Key_D, [a, c, b, d], qtbot)
    accept(screen, demo, qtbot)
    assert "the outline crosses itself" in all_words(screen)
    assert demo.round.check("B3.covered").attempts == ()
    assert outline_on(screen) is not None


def test_seeking_with_a_drawn_opening_gives_no_far_rim() -> None:
    photo = read_photo(SAMPLES / "bearing-3.jpg")
    corners = tuple(whole_far_rim())
    bare = bare_layer(photo)
    drawn = type(bare)(bare.width_px, bare.height_px, (FarOutline(corners),), bare.focal_35mm)
    sought = seek_rims(photo, drawn, Point(*HOLE["click"]))
    assert {mark.which for mark in sought.marks if isinstance(mark, Rim)} <= {"near", "back"}
    assert not any(isinstance(mark, FarUnseen) for mark in sought.marks)
