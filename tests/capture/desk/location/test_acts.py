"""Strike, undo, worked on, fitted, who measures: asked about in place, and kept."""

from PySide6.QtCore import Qt

from tests.capture.desk.location.conftest import CTRL


def test_undo_strikes_the_last_reading_and_says_that_it_stays(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.file("40.012")
    at.key(Qt.Key.Key_Z, CTRL)
    ask = at.screen.column.ask
    assert "40.012" in ask.title
    assert ask.field("reason").text() == "typed wrongly"
    at.key(Qt.Key.Key_Return)  # a calliper's Return strikes nothing
    assert at.check().current is not None
    with at.qtbot.waitSignal(small.told) as said:
        at.key(Qt.Key.Key_Return, CTRL)
    assert "stays legible" in said.args[0]
    assert at.check().current is None
    struck = at.check().attempts[0].struck
    assert struck.reason == "typed wrongly"
    assert at.has_focus
    assert at.echo.startswith("Struck")
    assert at.screen.foot.devices.text.startswith("struck 09:")
    lines = at.screen.column.earlier.lines
    assert [(line.said, line.crossed) for line in lines] == [("40.012 (mm assumed)", True)]


def test_undo_goes_to_the_check_it_is_about(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.file("40.012")
    small.go_to_check("P1.clean")
    at.key(Qt.Key.Key_Z, CTRL)
    assert small.where.key == "P1.bore"
    assert at.screen.column.page == "ask"


def test_undo_is_off_until_something_was_filed(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    assert not at.screen.foot.undo.isEnabled()
    at.key(Qt.Key.Key_Z, CTRL)
    assert at.screen.column.page == "about"


def test_one_reading_of_a_grid_is_struck_from_the_history(benched, open_at, qtbot) -> None:
    at = open_at(benched, "M1.journal")
    at.file("58.341")
    at.file("58.342")
    at.key(Qt.Key.Key_H, CTRL)
    assert at.screen.column.page == "history"
    line = at.screen.column.history.list.lines[-1]
    at.screen.column.history.list.strike_wanted.emit(line)
    field = at.screen.column.ask.field("reason")
    at.key(Qt.Key.Key_Return, CTRL)
    assert field.error  # a reason is asked for
    at.type("point missed")
    at.key(Qt.Key.Key_Return, CTRL)
    first = at.check().characteristic.spots[0]
    at.until(lambda: first in at.check().missing)
    cell = next(c for c in at.screen.column.grid.table.cells if c.spot == first)
    assert cell.struck == ("58.341",)
    assert "struck 58.341" in at.screen.column.grid.accessibleDescription()
    note = at.screen.column.earlier.lines[-1].note
    assert "point missed" in note
    assert "R. Ansell" in note


def test_worked_on_begins_a_new_attempt(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.file("40.012")
    at.key(Qt.Key.Key_H, CTRL)
    at.key(Qt.Key.Key_R, CTRL)
    at.type("honed")
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: at.check().name == "attempt 2")
    assert at.check().current is None
    assert "attempt 2" in at.screen.question.text
    assert "honed" in at.screen.column.earlier.lines[0].note


def test_the_part_of_a_check_is_fitted_with_its_number(benched, open_at, qtbot) -> None:
    at = open_at(benched, "M1.bore")
    assert "not fitted yet" in at.screen.column.part.text()
    qtbot.mouseClick(at.screen.column.fit, Qt.MouseButton.LeftButton)
    at.type("MB-77 std")
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: "fitted MB-77 std" in at.screen.column.part.text())


def test_who_measures_is_said_here_and_kept_with_what_follows(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.file("40.012")
    at.key(Qt.Key.Key_U, CTRL)
    at.type("J. Oduya")
    at.key(Qt.Key.Key_Return, CTRL)
    assert at.has_focus
    assert at.screen.foot.who.words() == "J. Oduya"
    at.file("40.013")
    first, second = at.check().attempts
    assert (first.stamp.by, second.stamp.by) == ("R. Ansell", "J. Oduya")


def test_what_lies_behind_a_closed_cover_is_said_and_filed_only_as_read_before(
    benched, open_at
) -> None:
    at = open_at(benched, "M1.strip")
    for act in (
        lambda j: j.reading("S1.sealant", "paste"),
        lambda j: j.reading("S1.seated", "yes"),
        lambda j: [
            j.waive("crank", key, reason="rig", decided_by="R. Ansell", owner_agreed="by phone")
            for hold in j.round().holds if hold.hold_point.id == "crank"
            for key in dict.fromkeys(key for key, _ in hold.unproven)
        ],
        lambda j: j.close("crank"),
    ):  # fmt: skip
        done: list[object] = []
        benched.act(act, then=done.append)
        at.until(lambda done=done: bool(done))
    assert at.check().hidden
    assert "Crankshaft goes in" in at.echo
    at.file("0.041")
    at.until(lambda: at.echo.startswith("Not filed"))
    assert at.box == "0.041"
    assert at.check().current is None


def test_the_spot_of_a_struck_reading_is_the_next_even_after_a_slip(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    first, second = at.check().characteristic.spots[:2]
    at.file("58.341")
    at.file("58.342")
    at.file("58.842")  # asked about, at the third
    at.until(lambda: at.screen.column.page == "slip")
    at.type("r")
    at.until(lambda: bool(at.check().slips))
    at.key(Qt.Key.Key_Z, CTRL)
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: second in at.check().missing)
    assert at.screen.column.grid.here == second
    assert first in at.check().cells
