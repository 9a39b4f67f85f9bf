"""Waiving by hand: one thing, in writing, and never a closing by surprise."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest

from capture.desk.hold.chips import chip_width
from capture.verifying import verify_book
from tests.capture.desk.hold.shown import ALT, CTRL, KEY, prove, shown
from tests.capture.desk.walk.large_plan import large_plan


def test_a_waiver_stays_shut_until_all_words_are_there(cover) -> None:
    form = cover.waiver
    assert not form.verb.isEnabled()
    assert form.verb.accessibleDescription() == (
        "still needs: who decided, reason, how the owner agreed"
    )
    for text, field in zip(("R. Ansell", "old stain", "   "), form.fields, strict=True):
        QTest.keyClicks(field.box, text)
    assert not form.verb.isEnabled()
    assert form.verb.accessibleDescription() == "still needs: how the owner agreed"
    QTest.keyClicks(form.owner_agreed.box, "by phone")
    assert form.verb.isEnabled()


def test_what_is_waived_is_the_one_chosen_and_then_it_closes(cover, small, qtbot) -> None:
    prove(small, qtbot, "P1.clean")
    assert [group.goes.key for group in cover.lines.items] == ["P1.clean"]
    form = cover.waiver
    assert form.verb.words() == "Waive 2"
    for text, field in zip(("R. Ansell", "old stain", "by phone"), form.fields, strict=True):
        QTest.keyClicks(field.box, text)
    QTest.keyClick(form.reason.box, KEY.Key_W, ALT)
    qtbot.waitUntil(lambda: not small.round.hold("cover").unproven)
    waived = small.round.hold("cover").waived[0]
    assert (waived.key, waived.reason, waived.decided_by, waived.owner_agreed) == (
        "P1.clean", "old stain", "R. Ansell", "by phone",
    )  # fmt: skip
    assert cover.title.text() == "Side cover may go on."
    assert not form.isVisible()
    assert not cover.lines.isVisible()
    assert "waived by R. Ansell. Old stain." in cover.waivers.text()
    assert not cover.section.lifted
    qtbot.waitUntil(lambda: not form.reason.text())
    assert form.decided_by.text() == "R. Ansell"
    with qtbot.waitSignal(small.told) as told:
        QTest.keyClick(cover, KEY.Key_Return, CTRL)
    assert told.args == [
        "Side cover is on. With it the job is closed: send out what is kept of it."
    ]
    assert small.round.hold("cover").closed is not None
    assert verify_book(small.root, version="0.0-test") == []


def test_one_chip_is_chosen_by_a_press(cover, qtbot) -> None:
    chips = cover.waiver.chips
    box = chips.visualRect(chips.spoken.index(1))
    qtbot.mouseClick(chips.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert chips.line is chips.items[1]
    assert cover.waiver.verb.words() == f"Waive {chips.items[1].short}"


def test_the_key_that_closes_does_not_close_out_of_a_waivers_box(cover, small, qtbot) -> None:
    prove(small, qtbot)
    small.act(lambda journey: journey.reading("P1.clean", "no"))
    qtbot.waitUntil(lambda: small.round.check("P1.clean").state == "outside")
    box = cover.waiver.reason.box
    box.setFocus()
    QTest.keyClick(box, KEY.Key_Return, CTRL)
    assert cover.waiver.said.text().startswith("Alt W waives.")
    done: list[int] = []
    small.act(lambda journey: journey.round().entries, then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    assert small.round.hold("cover").refusals == ()
    QTest.keyClicks(box, "x")
    assert cover.waiver.said.text() == ""


def test_all_that_may_be_waived_is_in_sight_and_whole(begun, qtbot) -> None:
    screen = shown(begun(large_plan(500)), qtbot, "H0")
    chips = screen.waiver.chips
    assert len(chips.items) > 50
    boxes = [chips.visualRect(chips.spoken.index(n)) for n in range(len(chips.items))]
    for line, box in zip(chips.items, boxes, strict=True):
        assert box.width() >= chip_width(line)
        assert chips.viewport().rect().contains(box)
    for field in screen.waiver.fields:
        assert field.box.width() >= 220
    widths = [field.box.width() for field in screen.waiver.fields]
    assert max(widths) == screen.waiver.reason.box.width()


def test_a_waiver_leaves_the_sign_in_the_section_and_lies_beside_it(cover, small, qtbot) -> None:
    prove(small, qtbot, "P1.clean")
    small.act(lambda journey: journey.reading("P1.clean", "no"))
    qtbot.waitUntil(lambda: small.round.check("P1.clean").state == "outside")
    for text, field in zip(
        ("R. Ansell", "old stain", "by phone"), cover.waiver.fields, strict=True
    ):
        QTest.keyClicks(field.box, text)
    cover.waiver.verb.click()
    qtbot.waitUntil(lambda: not cover.section.lifted)
    drawn = cover.section.viewport().grab().toImage()
    outside = QColor(small.palette.of_state("outside"))
    assert any(
        drawn.pixelColor(x, y) == outside
        for x in range(min(84, drawn.width()))
        for y in range(drawn.height())
    )
