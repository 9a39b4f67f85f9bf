"""The round by hand: keyboard, mouse, finding, what a screen reader hears."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QFontMetricsF
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from capture.demo.job import read_demo_plan
from capture.desk.look.dress import dress
from capture.desk.look.type import font
from capture.desk.walk.cover_words import lines_on
from capture.desk.walk.drawn_row import height_of, props_and_words
from capture.desk.walk.pane import RoundPane
from capture.desk.walk.row import HoldRow, LocationRow, Prop
from capture.desk.where import Where
from tests.capture.desk.walk.large_plan import large_plan

KEY = Qt.Key


@pytest.fixture
def pane(qtbot, demo) -> RoundPane:
    made = RoundPane(demo)
    made.setStyleSheet(dress(demo.palette))
    made.resize(304, 752)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


def keys_shown(pane: RoundPane) -> list[str]:
    return [row.key for row in pane.gallery.items]


def press(pane: RoundPane, *keys: KEY) -> None:
    for key in keys:
        QTest.keyClick(pane.gallery, key)


def test_the_round_is_walked_by_keyboard(pane, demo) -> None:
    pane.gallery.setFocus()
    press(pane, KEY.Key_Home, KEY.Key_Down, KEY.Key_Down)
    third = pane.gallery.items[2]
    assert isinstance(third, LocationRow)
    assert demo.where.location != third.key
    press(pane, KEY.Key_Return)
    assert demo.where.location != third.key  # Return belongs to readings
    press(pane, KEY.Key_Space)
    assert (demo.where.room, demo.where.location) == ("location", third.key)
    press(pane, KEY.Key_End, KEY.Key_Space)
    assert demo.where == Where("hold", pane.gallery.items[-1].key)


def test_a_press_goes_to_a_location_and_to_a_cover(pane, demo, qtbot) -> None:
    for wanted in (LocationRow, HoldRow):
        at = next(n for n, r in enumerate(pane.gallery.items) if n > 1 and isinstance(r, wanted))
        box = pane.gallery.visualRect(pane.gallery.spoken.index(at))
        qtbot.mouseClick(pane.gallery.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
        assert demo.where.location == pane.gallery.items[at].key
    assert demo.where.room == "hold"


def test_where_one_is_is_shown_and_kept_in_sight(pane, demo) -> None:
    last = demo.round.places[-1].location.id
    demo.go_to_check(last)
    here = [row.key for row in pane.gallery.items if getattr(row, "here", False)]
    assert here == [last]
    box = pane.gallery.visualRect(pane.gallery.spoken.find(last))
    assert 0 <= box.top() < pane.gallery.viewport().height()


def test_the_number_of_what_is_marked_is_covered(pane, demo) -> None:
    demo.go(Where("marking", "B1.covered", photo="x"))
    row = next(r for r in pane.gallery.items if r.key == "B1")
    assert row.lying.word == "rims being placed"


def test_finding_leads_to_the_list_and_back(pane, demo) -> None:
    whole = keys_shown(pane)
    pane.find()
    assert pane.box.hasFocus()
    QTest.keyClicks(pane.box, "cam bearing 3")
    assert keys_shown(pane) == ["B3"]
    before = demo.where
    QTest.keyClick(pane.box, KEY.Key_Return)
    assert demo.where == before
    QTest.keyClick(pane.box, KEY.Key_Down)
    assert pane.gallery.hasFocus()
    press(pane, KEY.Key_Space)
    assert demo.where.location == "B3"
    pane.find()
    QTest.keyClick(pane.box, KEY.Key_Escape)
    assert keys_shown(pane) == whole
    assert not pane.box.isVisible()


def test_the_first_hit_is_marked_and_the_next_key_is_said(pane, demo) -> None:
    pane.find()
    assert not pane.gallery.marks_cursor
    QTest.keyClicks(pane.box, "core plug")
    first = next(row for row in pane.gallery.items if isinstance(row, LocationRow))
    assert pane.gallery.marks_cursor
    assert pane.gallery.items[pane.gallery.currentIndex().row()] is first
    assert pane.find_line.how.isVisible()
    assert pane.find_line.how.text().startswith("Down, then Space")
    QTest.keyClicks(pane.box, " nowhere")
    assert "Space" not in pane.find_line.how.text()


def test_escape_gives_the_keyboard_back(pane, qtbot) -> None:
    outside = QLineEdit()
    whole = QWidget()
    qtbot.addWidget(whole)
    across = QHBoxLayout(whole)
    across.addWidget(outside)
    across.addWidget(pane)
    whole.show()
    whole.activateWindow()
    qtbot.waitUntil(whole.isActiveWindow)
    outside.setFocus()
    pane.find()
    assert pane.box.hasFocus()
    QTest.keyClicks(pane.box, "core")
    QTest.keyClick(pane.box, KEY.Key_Escape)
    assert outside.hasFocus()
    assert not pane.box.isVisible()
    pane.find()
    QTest.keyClicks(pane.box, "core")
    QTest.keyClick(pane.box, KEY.Key_Down)
    assert pane.gallery.hasFocus()
    QTest.keyClick(pane.gallery, KEY.Key_Escape)
    assert outside.hasFocus()
    assert not pane.box.isVisible()
    pane.setParent(None)


def test_a_narrow_round_shows_keys_without_words(pane, qtbot) -> None:
    pane.setFixedWidth(480)
    qtbot.waitUntil(lambda: pane.width() == 480)
    wide = pane.find_verb.width()
    pane.setFixedWidth(240)
    qtbot.waitUntil(lambda: pane.width() == 240)
    assert pane.find_verb.width() < wide
    assert pane.find_verb.accessibleName() == "find (Ctrl F)"
    assert pane.rect().contains(pane.open_verb.geometry())


def test_the_heading_s_verbs_lie_within_the_round_at_any_width(pane, qtbot) -> None:
    whole = []
    for width in range(240, 481, 8):
        pane.setFixedWidth(width)
        qtbot.waitUntil(lambda w=width: pane.width() == w)
        pane.layout().activate()
        assert pane.rect().contains(pane.open_verb.geometry()), width
        assert pane.heading.width() >= pane.heading.sizeHint().width(), width
        whole.append(pane.find_verb.words() == "find")
    assert whole == sorted(whole)  # once there is room for the words they stay
    assert whole[-1]
    assert not whole[0]


def test_what_a_cover_says_is_never_cut_off(pane) -> None:
    cover = next(row for row in pane.gallery.items if isinstance(row, HoldRow))
    free = cover._replace(props=(), detail="1 waived, the rest proven, hides 9 locations")
    assert lines_on(free, 400) == ["1 waived, the rest proven, hides 9 locations"]
    assert lines_on(free, 240) == ["1 waived, the rest proven", "hides 9 locations"]
    assert height_of(free, width=304) > height_of(free, width=500)


def test_finding_nothing_says_so(pane) -> None:
    pane.find()
    QTest.keyClicks(pane.box, "gearbox")
    assert pane.nothing.text() == "Nothing is called 'gearbox'"
    assert pane.nothing.isVisible()


def test_open_only_hides_what_is_proven(pane, demo, qtbot) -> None:
    demo.act(lambda journey: journey.reading("B4.wire", "yes"))
    qtbot.waitUntil(lambda: demo.round.check("B4.wire").proven)
    assert "B4" in keys_shown(pane)
    pane.open_verb.click()
    assert "B4" not in keys_shown(pane)
    assert pane.open_verb.accessibleDescription() == "on"
    pane.toggle_open_only()
    assert "B4" in keys_shown(pane)


def test_the_line_below_goes_to_what_comes_next(pane, demo) -> None:
    demo.go(Where("map"))
    assert pane.next_line.button.accessibleName().startswith("Next open: 1, ")
    pane.next_line.button.click()
    assert demo.where.location == demo.round.places[0].location.id


def test_a_plan_is_previewed_and_goes_nowhere(pane, demo) -> None:
    demo.go(Where("new job"))
    pane.preview(read_demo_plan())
    assert pane.heading.text() == "The round it gives you"
    assert pane.next_line.button.accessibleName() == "30 locations, 8 hold points"
    pane.gallery.setFocus()
    press(pane, KEY.Key_Home, KEY.Key_Space)
    assert demo.where == Where("new job")
    demo.go(Where("map"))
    assert pane.heading.text() == "Round"


def test_a_screen_reader_hears_each_row(pane, demo, qtbot) -> None:
    demo.act(lambda journey: journey.reading("B4.wire", "yes"))
    qtbot.waitUntil(lambda: demo.round.check("B4.wire").proven)
    heard = QAccessible.queryAccessibleInterface(pane.gallery)
    assert heard.text(QAccessible.Text.Name) == "the round"
    at = keys_shown(pane).index("B4")
    said = heard.child(at).text(QAccessible.Text.Name)
    assert said == "16 Cam bearing 4, oil groove: within, answered yes"


def test_the_cursor_stays_when_something_is_filed(pane, demo, qtbot) -> None:
    pane.gallery.setFocus()
    press(pane, KEY.Key_Home, KEY.Key_Down, KEY.Key_Down, KEY.Key_Down)
    row = pane.gallery.currentIndex().row()
    demo.act(lambda journey: journey.reading("B4.wire", "yes"))
    qtbot.waitUntil(lambda: demo.round.check("B4.wire").proven)
    assert pane.gallery.currentIndex().row() == row


def test_a_cover_sits_down_when_its_last_prop_goes(pane, demo, qtbot) -> None:
    gallery = pane.gallery
    settling, held = gallery.settling, next(r for r in gallery.items if getattr(r, "props", ()))
    free = held._replace(props=())
    assert not settling.moves  # nobody is there to see it
    settling.moves = True
    assert settling.lift_of(free) == 0
    settling.expect([held], [free])
    assert 0 < settling.lift_of(free) <= settling.lift_of(held)
    qtbot.waitUntil(lambda: settling.lift_of(free) == 0)


def test_of_two_thousand_checks_only_what_is_seen_is_drawn(begun, qtbot) -> None:
    desk = begun(large_plan(500))
    pane = RoundPane(desk)
    qtbot.addWidget(pane)
    pane.resize(400, 1032)
    pane.show()
    qtbot.waitExposed(pane)
    assert len(pane.gallery.items) == 510
    seen = 1032 // 48 + 2
    for scrolled in (0, 5000, pane.gallery.verticalScrollBar().maximum()):
        pane.gallery.verticalScrollBar().setValue(scrolled)
        pane.gallery.delegate.painted = 0
        pane.grab()
        assert 0 < pane.gallery.delegate.painted <= seen


@pytest.mark.parametrize("width", [304.0, 360.0, 400.0])
def test_what_holds_a_cover_off_is_told_whole_and_every_one_is_counted(width, demo) -> None:
    metrics = QFontMetricsF(font("caption"))
    for held in range(1, 12):
        props = tuple(Prop(f"L{n}", n, "Core plug", "outside") for n in range(1, min(held, 5) + 1))
        shown, words = props_and_words(HoldRow("h", "Cover", "", props, held - len(props)), width)
        last = 27 + 40 * (len(shown) - 1)  # where the last prop stands
        assert last + metrics.horizontalAdvance(words) < width - 14
        left = held - len(shown)
        one = "holds it off" if held == 1 else "hold it off"
        assert words == (f"+ {left} hold it off" if left else one)
