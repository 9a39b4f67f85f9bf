"""Readings typed with real keys, one of each kind, and filed with Return.

The numbers typed are invented; conversions are checked against the exact inch of 25.4 mm (1959
agreement) and the newton metre (NIST SP 811, appendix B.8: 1 lbf.ft = 1.355 818 N.m).
"""

from PySide6.QtCore import Qt

from capture.verifying import verify_book
from tests.capture.desk.location.conftest import CTRL

VERSION = "0.0-test"


def test_a_length_is_echoed_in_both_units_and_filed(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    assert at.has_focus
    at.type("40.012")
    # 40.012 / 25.4 = 1.575 275...
    assert "40.012 mm" in at.echo
    assert "1.5753 in" in at.echo
    assert at.check().current is None
    at.key(Qt.Key.Key_Return)
    assert at.box == ""
    at.settle()
    assert at.check().value.value == 40.012
    assert at.check().current.record.gauge == "mic-1"
    assert "kept" in at.echo
    assert at.has_focus


def test_what_is_not_a_reading_yet_is_said_calmly_then_loudly(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.type("1,234")
    assert at.echo
    assert not at.echo.startswith("Not filed")
    at.key(Qt.Key.Key_Return)
    assert at.echo.startswith("Not filed: ")
    assert "1,234" in at.echo
    assert at.box == "1,234"
    at.type("40.1")  # it is marked: the next figures take its place
    assert at.box == "40.1"
    assert at.check().attempts == ()


def test_a_stray_return_files_nothing(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    before = small.round.entries
    flashed = []
    at.screen.column.box.stray.connect(lambda: flashed.append(True))
    at.key(Qt.Key.Key_Return)
    at.key(Qt.Key.Key_Enter)
    at.settle()
    assert flashed == [True, True]
    assert small.round.entries == before


def test_a_depth_needs_its_side_and_keeps_it_for_the_next(benched, open_at) -> None:
    at = open_at(benched, "G2.depth")
    at.type("2.31")
    assert "side" in at.echo
    at.type(" BELOW")
    assert "2.31 mm BELOW" in at.echo
    at.key(Qt.Key.Key_Return)
    at.settle()
    at.type("2.33")
    assert "2.33 mm BELOW" in at.echo
    assert "files at right" in at.echo
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert at.check().cells[at.check().characteristic.spots[1]].record.text == "2.33 BELOW"


def test_a_side_is_turned_by_one_key(small, open_at) -> None:
    at = open_at(small, "P1.depth")
    at.key(Qt.Key.Key_F7)
    at.key(Qt.Key.Key_F7)
    at.type("2.5")
    assert "2.5 mm PROUD" in at.echo
    at.key(Qt.Key.Key_F7)  # none again
    assert "side" in at.echo
    at.key(Qt.Key.Key_F7)
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert at.check().current.record.face == "BELOW"
    assert at.check().state == "within"


def test_a_grid_fills_itself_in_its_order(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    spots = at.check().characteristic.spots
    grid = at.screen.column.grid
    assert grid.isVisible()
    for n, text in enumerate(("58.341", "58.342", "58.340", "58.341")):
        assert grid.here == spots[n]
        at.file(text)
    assert at.check().missing == ()
    assert at.check().state == "within"
    assert grid.here is None
    at.file("58.339")
    assert "choose the one to read again" in at.echo
    assert at.check().readings[-1].record.text == "58.341"


def test_another_spot_is_chosen_with_ctrl_and_an_arrow(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    first, second = at.check().characteristic.spots[:2]
    at.key(Qt.Key.Key_Right, CTRL)
    assert at.screen.column.grid.here == second
    assert at.has_focus
    at.file("58.342")
    assert list(at.check().cells) == [second]
    assert at.screen.column.grid.here == first


def test_a_cell_is_chosen_by_a_press_and_read_again(benched, open_at, qtbot) -> None:
    at = open_at(benched, "M1.journal")
    for text in ("58.341", "58.342", "58.340", "58.341"):
        at.file(text)
    spot = at.check().characteristic.spots[2]
    grid = at.screen.column.grid
    qtbot.mouseClick(grid, Qt.MouseButton.LeftButton, pos=grid.cell_rect(spot).center().toPoint())
    assert grid.here == spot
    at.type("58.343")
    assert "files again at" in at.echo
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert at.check().cells[spot].record.text == "58.343"


def test_readings_typed_faster_than_they_are_filed_go_to_their_own_spots(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    for text in ("58.341", "58.342", "58.340"):
        at.type(text)
        at.key(Qt.Key.Key_Return)
    at.settle()
    spots = at.check().characteristic.spots
    assert [at.check().cells[spot].record.text for spot in spots[:3]] == [
        "58.341", "58.342", "58.340",
    ]  # fmt: skip


def test_yes_and_no_by_key_and_by_press(small, open_at, qtbot) -> None:
    at = open_at(small, "P1.clean")
    at.type("n")
    assert at.echo.startswith("No")
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert at.check().state == "outside"
    qtbot.mouseClick(at.screen.column.yes, Qt.MouseButton.LeftButton)
    at.settle()
    assert at.check().state == "within"
    assert at.has_focus


def test_a_note_is_kept_as_it_was_typed(benched, open_at) -> None:
    at = open_at(benched, "S1.sealant")
    at.file("Grey paste, batch 7 of May")
    assert at.check().current.words == "Grey paste, batch 7 of May"


def test_two_pins_are_typed_one_after_the_other(demo, open_at) -> None:
    at = open_at(demo, "B3.pin")
    at.type("4.0")
    assert "4 mm passed" in at.echo
    at.key(Qt.Key.Key_Return)
    assert at.box == ""
    assert at.check().current is None
    assert "Smallest pin that stopped" in at.screen.column.position.text
    at.file("4.5")
    assert at.check().current.record.text == "4.0 passed, 4.5 stopped"


def test_two_pins_are_typed_in_words_too(demo, open_at) -> None:
    at = open_at(demo, "B3.pin")
    at.file("4.0 mm passed, 4.5 mm stopped")
    assert at.check().value.value == 4.25


def test_a_pin_that_was_held_is_dropped_with_escape(demo, open_at) -> None:
    at = open_at(demo, "B3.pin")
    at.file("4.0")
    at.key(Qt.Key.Key_Escape)
    assert at.screen.column.position.text == "Largest pin that passed"


def test_a_difference_gauge_asks_for_its_zero_and_its_direction(benched, open_at) -> None:
    at = open_at(benched, "M1.bore")
    at.type("0.041 bigger")
    assert "zeroed" in at.echo
    at.key(Qt.Key.Key_Return)
    assert at.echo.startswith("Not filed")
    at.key(Qt.Key.Key_F10)
    at.type("58.34 mm")
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: at.screen.column.page == "about")
    assert at.has_focus
    # 58.340 mm and 0.041 mm on top
    assert "58.381 mm" in at.echo
    at.key(Qt.Key.Key_Return)
    at.settle()
    assert round(at.check().value.value, 6) == 58.381
    at.type("0.041")
    assert "direction" in at.echo  # the direction is said for each reading


def test_while_a_gauge_has_no_zero_everything_asks_for_it(demo, open_at) -> None:
    at = open_at(demo, "Z1.bore")
    asked = "Say what bore-a was zeroed to (F10)"
    below, column = at.screen.below, at.screen.column
    assert column.position.text.endswith("ore-a dial, bigger or smaller")
    assert at.echo == below.next_words == f"{asked}."
    assert asked in column.gauge_line.text
    at.type("0.014 bigger")
    assert at.echo == asked
    at.key(Qt.Key.Key_Escape)
    at.type("82.514")
    assert at.echo.startswith("that looks like the size itself: type what the dial shows")
    at.key(Qt.Key.Key_Escape)
    at.key(Qt.Key.Key_F10)
    at.screen.column.more.fields["zero"].set_text("82.5 mm")
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: at.screen.column.page == "about")
    assert below.next_words.startswith("Read ")
    assert asked not in column.gauge_line.text
    at.type("82.514")
    assert at.echo.startswith("that looks like the size itself")


def test_a_zero_is_chosen_among_sizes_that_were_read_by_one_key(benched, open_at) -> None:
    at = open_at(benched, "M1.strip")
    at.file("0.040")
    benched.go_to_check("M1.bore")
    at.type("0.041 bigger")
    at.key(Qt.Key.Key_Return)
    assert "F10" in at.echo  # the refusal says which key it is done by
    at.key(Qt.Key.Key_F10)
    assert at.screen.column.more.offered == ["Strip 0.040 mm (Ctrl 1)"]
    at.key(Qt.Key.Key_1, CTRL)
    at.until(lambda: at.screen.column.page == "about")
    assert "Zeroed to Strip 0.04 mm" in at.screen.column.gauge_line.text
    assert at.box == "0.041 bigger"
    assert at.has_focus


def test_a_zero_that_has_no_value_is_refused_at_its_field(benched, open_at) -> None:
    at = open_at(benched, "M1.bore")
    at.key(Qt.Key.Key_F10)
    at.type("M1.journal")
    at.key(Qt.Key.Key_Return, CTRL)
    field = at.screen.column.more.fields["zero"]
    at.until(lambda: bool(field.error))
    assert "M1.journal has no value yet" in field.error
    assert at.screen.column.page == "more"


def test_temperatures_doubts_and_an_earlier_time_are_filed_with_it(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.key(Qt.Key.Key_F10)
    fields = at.screen.column.more.fields
    for name, text in (
        ("read_at", "on paper at 10:40"), ("doubt_width", "0.002 mm"),
        ("doubt_what", "parting line"), ("part_c", "70 F"),
    ):  # fmt: skip
        fields[name].setFocus()
        at.type(text)
    at.key(Qt.Key.Key_Return, CTRL)
    assert at.has_focus
    assert "on paper at 10:40" in at.screen.column.gauge_line.text
    at.file("40.012")
    read = at.check().current.record
    assert read.read_at == "on paper at 10:40"
    assert read.doubts[0].what == "parting line"
    # 70 F = (70 - 32) / 1.8 = 21.11 C; the gauge lay beside the part
    assert (read.part_c, read.gauge_c) == (21.11, 21.11)


def test_a_torque_in_a_unit_of_another_kind_is_refused(demo, open_at) -> None:
    at = open_at(demo, "F1.torque")
    at.type("90 mm")
    at.key(Qt.Key.Key_Return)
    assert at.echo.startswith("Not filed")
    assert at.check().current is None


def test_the_gauge_is_chosen_by_one_key(benched, open_at) -> None:
    at = open_at(benched, "M1.strip")
    assert "No gauge named" in at.screen.column.gauge_line.text
    at.key(Qt.Key.Key_F6)
    offered = [state.gauge.id for state in at.screen.column.gauge_list.gauges]
    assert "mic-1" in offered
    at.type(str(offered.index("mic-1") + 1))
    at.until(lambda: at.screen.column.page == "about")
    assert "mic-1" in at.screen.column.gauge_line.text
    assert "OVERDUE" in at.screen.column.gauge_line.text
    at.file("0.040")
    assert at.check().current.record.gauge == "mic-1"


def test_a_reading_typed_while_the_list_is_open_chooses_no_gauge(benched, open_at) -> None:
    at = open_at(benched, "M1.strip")
    at.key(Qt.Key.Key_F6)
    at.file("1.234")
    assert at.check().current.record.text == "1.234"
    assert at.check().current.record.gauge == ""


def test_the_book_verifies_after_all_of_it(small, open_at, tmp_path) -> None:
    at = open_at(small, "P1.bore")
    at.file("40.012")
    small.go_to_check("P1.depth")
    at.file("2.5 BELOW")
    small.go_to_check("P1.clean")
    at.file("yes")
    at.key(Qt.Key.Key_Z, CTRL)
    at.key(Qt.Key.Key_Return, CTRL)
    at.until(lambda: at.check("P1.clean").current is None)
    root = small.root
    at.window.close()
    assert verify_book(root, version=VERSION) == []
