"""Another person's marks on the same photo, placed blind: kept beside the first ones."""

from PySide6.QtCore import Qt

from capture.desk.look.palette import LIGHT
from capture.desk.where import Where
from capture.words.quantities import quantity_text
from tests.capture.desk.marking.conftest import SLOW_MS, accept, all_words, place_by_hand
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]
CONTROL = Qt.KeyboardModifier.ControlModifier


def test_a_second_person_sees_nothing_of_the_first_and_the_two_are_compared(
    demo, filed, opened, qtbot
) -> None:
    photo = filed("bearing-3.jpg")
    screen = opened("B3.covered", photo)
    assert not screen.column.rims._second.isVisible()
    place_by_hand(screen, HOLE, qtbot)
    accept(screen, demo, qtbot)
    first = demo.round.check("B3.covered")

    demo.went.connect(lambda where: screen.enter(where) if where.room == "marking" else None)
    demo.go(Where("marking", "B3.covered", photo=photo))
    qtbot.waitUntil(lambda: screen.placing.about.is_whole)
    qtbot.keyClick(screen, Qt.Key.Key_B)
    assert demo.where.second_to == first.current.stamp.entry
    assert screen.question == "Second marks, placed blind"
    assert screen.canvas.layer().marks == ()
    assert "second person, blind" in all_words(screen)
    assert f"second person, {demo.by}" not in all_words(screen)
    # The photo waits: the mat of the theme stands there, not a black hole.
    mat = screen.canvas.viewport().grab().toImage().pixelColor(12, 12)
    assert mat.name() == LIGHT.mat.lower()

    name = screen.column.who._name
    qtbot.keyClicks(name.box, "r.  ansell")
    qtbot.keyClick(name.box, Qt.Key.Key_Return, CONTROL)
    assert "let another person place these" in name.error
    name.box.selectAll()
    qtbot.keyClicks(name.box, "M. Dorn")
    qtbot.keyClick(name.box, Qt.Key.Key_Return, CONTROL)
    qtbot.waitUntil(lambda: screen.placing.about.is_whole, timeout=SLOW_MS)
    assert demo.by == "M. Dorn"
    assert screen.canvas.layer().marks == ()
    words = all_words(screen)
    assert "second person, M. Dorn, blind" in words
    assert quantity_text(first.current.record.result.covered.quantity) not in words
    assert first.state not in words

    screen.canvas.setFocus()
    place_by_hand(screen, {**HOLE, "far_points": HOLE["far_points"][1:]}, qtbot)
    told = []
    demo.told.connect(told.append)
    accept(screen, demo, qtbot)
    after = demo.round.check("B3.covered")
    assert after.current == first.current
    (second,) = after.seconds
    assert (second.attempt.stamp.by, second.second_to) == (
        "M. Dorn", first.current.stamp.entry,
    )  # fmt: skip
    assert second.en is not None
    assert f"En {second.en:.2f}" in told[-1]
    screen.leave()
    assert demo.by == "R. Ansell"
