"""A hold point by hand: refused, waived in writing, closed, opened again; never by Return."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest

from capture.desk.hold.chips import chip_width
from capture.desk.hold.screen import HoldScreen
from capture.desk.look.dress import dress
from capture.desk.where import Where
from capture.desk.window import Window
from capture.journey import verify_book
from capture.plans.reader import parse_plan
from tests.capture.desk.walk.large_plan import large_plan
from tests.capture.small_plan import PLAN

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


@pytest.fixture
def cover(small, qtbot) -> HoldScreen:
    return shown(small, qtbot, "cover")


def test_it_is_refused_with_what_holds_it_off(cover, small, qtbot) -> None:
    assert cover.title.text() == "Side cover may not go on yet."
    assert cover.above.text().startswith("Hold point 1 of 1")
    assert cover.head.caution.words.text() == "Lift it with two hands."
    assert [group.key for group in cover.lines.items] == ["P1"]
    assert cover.section.lifted
    QTest.keyClick(cover, KEY.Key_Return, CTRL)
    qtbot.waitUntil(lambda: bool(small.round.hold("cover").refusals))
    assert small.round.hold("cover").closed is None
    assert cover.refused.text().startswith("Refused 09:00: 1 of 1 location is unproven; first 2")
    QTest.keyClick(cover, KEY.Key_Return, CTRL)
    qtbot.waitUntil(lambda: "2 times in all" in cover.refused.text())


def test_return_closes_nothing_and_waives_nothing(cover, small, qtbot) -> None:
    for text, field in zip(
        ("R. Ansell", "old stain", "by phone"), cover.waiver.fields, strict=True
    ):
        QTest.keyClicks(field.box, text)
        QTest.keyClick(field.box, KEY.Key_Return)
    entries = small.round.entries
    for widget in (cover.lines, cover.section, cover.waiver.chips, cover):
        QTest.keyClick(widget, KEY.Key_Return)
    done: list[int] = []
    small.act(lambda journey: journey.round().entries, then=done.append)
    qtbot.waitUntil(lambda: bool(done))
    assert done == [entries]
    assert small.where == Where("hold", "cover")


def test_a_figure_goes_to_its_line(benched, qtbot) -> None:
    cover = shown(benched, qtbot, "crank")
    third = cover.lines.items[2]
    QTest.keyClick(cover.lines, KEY.Key_3)
    assert benched.where == third.goes


def test_a_figure_in_a_text_box_is_text_and_alt_figure_goes(cover, small) -> None:
    first = cover.lines.items[0]
    box = cover.waiver.reason.box
    box.setFocus()
    QTest.keyClicks(box, "1")
    assert small.where == Where("hold", "cover")
    assert box.text() == "1"
    QTest.keyClick(box, KEY.Key_1, ALT)
    assert small.where == first.goes


def test_lines_and_columns_are_gone_to_by_space_and_by_press(benched, qtbot) -> None:
    cover = shown(benched, qtbot, "crank")
    assert cover.lines.hasFocus()
    QTest.keyClick(cover.lines, KEY.Key_Down)
    QTest.keyClick(cover.lines, KEY.Key_Space)
    assert benched.where == cover.lines.items[1].goes
    benched.go(Where("hold", "crank"))
    box = cover.lines.visualRect(cover.lines.spoken.index(0))
    qtbot.mouseClick(cover.lines.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert benched.where == cover.lines.items[0].goes
    benched.go(Where("hold", "crank"))
    cover.section.setFocus()
    QTest.keyClick(cover.section, KEY.Key_Home)
    first = cover.section.items[0]
    assert cover.stood_at.text() == first.spoken
    QTest.keyClick(cover.section, KEY.Key_Space)
    assert benched.where.location == first.key


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
    assert told.args == ["Side cover is on."]
    assert small.round.hold("cover").closed is not None
    assert verify_book(small.root, version="0.0-test") == []


def test_one_chip_is_chosen_by_a_press(cover, qtbot) -> None:
    chips = cover.waiver.chips
    box = chips.visualRect(chips.spoken.index(1))
    qtbot.mouseClick(chips.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert chips.line is chips.items[1]
    assert cover.waiver.verb.words() == f"Waive {chips.items[1].short}"


def test_it_is_opened_again_with_a_reason(cover, small, qtbot) -> None:
    prove(small, qtbot)
    cover.close_verb.click()
    qtbot.waitUntil(lambda: small.round.hold("cover").closed is not None)
    assert cover.title.text() == "Side cover is on."
    assert not cover.close_verb.isVisible()
    part = cover.closed_part
    assert not part.photo.isVisible()  # this cover asks for no seal
    assert not part.verb.isEnabled()
    QTest.keyClicks(part.reason.box, "gasket torn")
    assert part.verb.isEnabled()
    QTest.keyClick(part.reason.box, KEY.Key_R, ALT)
    qtbot.waitUntil(lambda: small.round.hold("cover").closed is None)
    assert small.round.hold("cover").reopened[0][1] == "gasket torn"
    assert cover.close_verb.isVisible()
    qtbot.waitUntil(lambda: not part.reason.text())


def test_what_came_loose_under_a_closed_cover_is_listed(cover, small, qtbot) -> None:
    prove(small, qtbot)
    cover.close_verb.click()
    qtbot.waitUntil(lambda: small.round.hold("cover").closed is not None)
    entry = small.round.check("P1.depth").current.stamp.entry
    small.act(lambda journey: journey.strike(entry, "wrong plug"))
    qtbot.waitUntil(lambda: bool(small.round.hold("cover").unproven))
    assert cover.title.text() == "Side cover is on, and something is unproven since."
    assert [group.goes.key for group in cover.lines.items] == ["P1.depth"]
    assert not cover.waiver.isVisible()


def test_the_photo_of_what_closes_it_is_asked_for(begun, qtbot) -> None:
    text = PLAN.replace('hides = ["P1"]', 'hides = ["P1"]\nseal = true')
    desk = begun(parse_plan(text.encode(), "plan.toml"))
    cover = shown(desk, qtbot, "cover")
    prove(desk, qtbot)
    cover.close_verb.click()
    qtbot.waitUntil(lambda: desk.round.hold("cover").unsealed)
    assert cover.closed_part.photo.isVisible()
    assert "Photograph what closes it" in cover.closed_part.needed.text()
    QTest.keyClick(cover.section, KEY.Key_P)
    assert desk.where == Where("camera", "cover", part="what closes it")


def test_a_screen_reader_hears_lines_and_columns(cover) -> None:
    heard = QAccessible.queryAccessibleInterface(cover.lines)
    assert heard.child(0).text(QAccessible.Text.Name) == (
        "2 Core plug 1: not measured, 5 checks, still to do: bore, plug, depth, clean, "
        "then worked out: press"
    )
    heard = QAccessible.queryAccessibleInterface(cover.section)
    assert heard.child(0).text(QAccessible.Text.Name) == (
        "2 Core plug 1: not measured, holds it off"
    )


def test_of_many_columns_only_what_is_seen_is_drawn(begun, qtbot) -> None:
    desk = begun(large_plan(500))
    screen = shown(desk, qtbot, "H0")
    assert len(screen.section.items) == 50
    screen.section.delegate.painted = 0
    screen.grab()
    assert 0 < screen.section.delegate.painted <= 976 // 84 + 2
    assert screen.section.height() > 232  # its scroll bar is there


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


def test_what_was_opened_again_says_so_over_the_drawing(cover, small, qtbot) -> None:
    prove(small, qtbot)
    assert not cover.head.reopened.isVisible()
    small.act(lambda journey: journey.close("cover"))
    small.act(lambda journey: journey.reopen("cover", "seal leaks"))
    qtbot.waitUntil(lambda: bool(small.round.hold("cover").reopened))
    assert cover.head.reopened.isVisible()
    assert cover.head.reopened.text().endswith("by R. Ansell: seal leaks")


def test_the_drawing_of_a_cover_that_sits_begins_under_the_title(cover, small, qtbot) -> None:
    lifted = cover.section.height()
    prove(small, qtbot)
    qtbot.waitUntil(lambda: not cover.section.lifted)
    qtbot.waitUntil(lambda: cover.section.y() - cover.head.geometry().bottom() < 24)
    assert cover.section.height() < lifted
    assert cover.section.visualRect(cover.section.spoken.index(0)).height() <= lifted


def test_a_figure_goes_to_its_line_in_the_whole_window(benched, qtbot) -> None:
    small = benched
    small.go(Where("hold", "crank"))
    window = Window(small)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.show()
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    small.go(Where("hold", "crank"))
    screen = window.screen_shown
    assert isinstance(screen, HoldScreen)
    assert screen.lines.hasFocus()
    second = screen.lines.items[1]
    # What types like a calliper is held back a moment: a lone figure comes through.
    QTest.keyClick(screen.lines, KEY.Key_2)
    qtbot.waitUntil(lambda: small.where == second.goes)
