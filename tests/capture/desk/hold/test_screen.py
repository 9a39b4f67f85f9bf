"""A hold point by hand: refused, waived in writing, closed, opened again; never by Return."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest

from capture.desk.hold.screen import HoldScreen
from capture.desk.where import Where
from capture.desk.window import Window
from capture.plans.reader import parse_plan
from tests.capture.desk.hold.shown import ALT, CTRL, KEY, prove, shown
from tests.capture.desk.walk.large_plan import large_plan
from tests.capture.small_plan import PLAN


def test_it_is_refused_with_what_holds_it_off(cover, small, qtbot) -> None:
    assert cover.title.text() == "Side cover may not go on yet."
    assert cover.above.text().startswith("Hold point 1 of 1")
    assert cover.head.caution.words.text() == "Lift it with two hands."
    assert [group.key for group in cover.lines.items] == ["P1"]
    assert cover.section.lifted
    assert cover.close_verb.words() == "Try to close it"  # alive: the refusal is kept
    assert cover.close_verb.isEnabled()
    assert cover.close_verb.property("part") == "plain"
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


def test_it_is_opened_again_with_a_reason(cover, small, qtbot) -> None:
    prove(small, qtbot)
    assert cover.close_verb.words() == "Close it: the part goes on"
    assert cover.close_verb.property("part") == "primary"
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
