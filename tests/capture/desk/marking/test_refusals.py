"""What can't be found, opened or measured is told with what to do, and nothing is lost."""

from PIL import Image
from PySide6.QtCore import Qt

from capture.desk.where import Where
from tests.capture.desk.marking.conftest import (
    accept,
    all_words,
    find,
    place_by_hand,
    press,
)
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]


def test_a_blank_picture_is_refused_and_hands_are_offered(
    demo, filed, opened, qtbot, tmp_path
) -> None:
    Image.new("RGB", (640, 480), (128, 128, 128)).save(tmp_path / "blank.png")
    screen = opened("B3.covered", filed(tmp_path / "blank.png"))
    find(screen, (320, 240), qtbot)
    words = all_words(screen)
    assert "Not done: no closed rim stands out round the click" in words
    assert "place points on the rim by hand" in words
    assert "bearing hole (N)" in words
    assert screen.placing.state == "press"
    assert screen.canvas.layer().marks == ()


def test_escape_drops_a_search(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    press(screen, HOLE["click"], qtbot)
    searching = screen.placing._seeking
    assert searching is not None
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert searching.dropped
    assert screen.placing.state == "press"
    assert demo.where.room == "marking"
    qtbot.keyClick(screen, Qt.Key.Key_Escape)
    assert demo.where == Where("location", "B3.covered")


def test_sizes_that_contradict_the_marks_are_refused_and_the_marks_stay(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place_by_hand(screen, HOLE, qtbot)
    layer = screen.canvas.layer()
    qtbot.keyClick(screen, Qt.Key.Key_G)
    qtbot.keyClicks(screen.column.sizes._fields["far_diameter"].box, "0.9 mm +- 0.01 mm")
    qtbot.keyClick(screen, Qt.Key.Key_G)
    screen.canvas.setFocus()
    accept(screen, demo, qtbot)
    assert screen.placing.is_refusal
    assert "Not done:" in all_words(screen)
    assert screen.canvas.layer() == layer
    assert demo.round.check("B3.covered").attempts == ()
    assert demo.where.room == "marking"


def test_a_size_that_is_none_is_told_beside_its_box(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    place_by_hand(screen, HOLE, qtbot)
    qtbot.keyClick(screen, Qt.Key.Key_G)
    box = screen.column.sizes._fields["wall"]
    qtbot.keyClicks(box.box, "2,3")
    assert box._error.text()
    screen._accept()
    assert screen.placing.state == "placing"
    box.box.selectAll()
    qtbot.keyClicks(box.box, "2.3 mm")
    assert box._error.text() == ""
    assert screen.placing.sizes().givens.wall.value == 2.3


def test_what_cannot_be_marked_says_so(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    for key, told in (
        ("B3.pin", "takes a typed reading"),
        ("B1.covered", "has no photo yet"),
        ("B3.nothing", "no check is chosen"),
    ):
        screen.enter(Where("marking", key))
        assert told in all_words(screen)
        assert screen.question == "Nothing to mark here"
        assert not screen.column.accept_verb.isEnabled()


def test_the_hole_is_pointed_at_with_the_keyboard_alone(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    screen.canvas.setFocus()
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Space)
    for _ in range(3):
        qtbot.keyClick(screen.canvas, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    assert screen.placing.state == "press"
    qtbot.keyClick(screen.canvas, Qt.Key.Key_Space)
    assert screen.placing.state == "seeking"
    screen.placing.drop_search()


def test_what_was_told_of_the_last_attempt_gives_way(demo, filed, opened, qtbot) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    told = []
    demo.told.connect(told.append)
    place_by_hand(screen, HOLE, qtbot)
    accept(screen, demo, qtbot)
    assert "marks no. 1 on this photo" in told[-1]
    screen.enter(Where("marking", "B3.covered", photo=photo))
    assert told[-1].startswith("Marking again: what the marks before gave stays covered")
