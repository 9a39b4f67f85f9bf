"""What a screen reader is told, where the focus goes, and what fits."""

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QLineEdit

from capture.desk.location.narrow import be_primary
from capture.desk.look.palette import DARK
from capture.desk.where import Where
from tests.capture.desk.location.conftest import CTRL


def test_the_box_says_what_it_asks_for_and_what_it_understood(benched, open_at) -> None:
    at = open_at(benched, "G2.depth")
    figures = at.screen.column.box.figures
    assert figures.accessibleName() == "Up: depth from the rear face, in mm"
    at.type("0.31 BELOW")
    assert "0.31 mm BELOW" in figures.accessibleDescription()


def test_every_control_has_a_name(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    at.file("58.341")
    at.key(Qt.Key.Key_H, CTRL)
    nameless = [
        type(each).__name__
        for kind in (QAbstractButton, QLineEdit)
        for each in at.screen.findChildren(kind)
        if each.isVisible() and not (each.accessibleName() or getattr(each, "text", str)())
    ]
    assert nameless == []


def test_chips_say_name_state_and_key(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    assert at.screen.chips.names[0] == "Journal: not measured, shown now, Alt 1"
    assert at.screen.chips.names[2] == "Clearance: not measured, Alt 3"


def test_alt_and_a_figure_jump_among_the_checks_of_a_location(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    at.key(Qt.Key.Key_4, Qt.KeyboardModifier.AltModifier)
    assert benched.where.key == "M1.strip"
    assert at.has_focus
    assert at.box == ""


def test_a_location_with_one_check_has_no_chips(small, open_at) -> None:
    at = open_at(small, "C1.covered")
    assert not at.screen.chips.isVisible()


def test_the_grid_says_every_cell(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    at.file("58.341")
    said = at.screen.column.grid.accessibleDescription()
    assert "along, no. 1, mm: 58.341" in said
    assert "across, no. 1, mm: no reading, next" in said


def test_the_caution_stands_in_words_before_the_reading(benched, open_at) -> None:
    at = open_at(benched, "M1.strip")
    assert "Caution: Keep it out of the oil hole." in at.screen.question.text


def test_the_focus_comes_back_when_a_page_is_left(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    for key, modifier in (
        (Qt.Key.Key_H, CTRL), (Qt.Key.Key_U, CTRL), (Qt.Key.Key_F10, Qt.KeyboardModifier(0)),
    ):  # fmt: skip
        at.key(key, modifier)
        assert at.screen.column.page != "about"
        at.key(Qt.Key.Key_Escape)
        assert at.screen.column.page == "about"
        assert at.has_focus


def test_another_check_does_not_inherit_what_was_half_typed(benched, open_at) -> None:
    at = open_at(benched, "M1.strip")
    at.type("0.0")
    benched.go_to_check("S1.seated")
    assert at.box == ""
    assert at.has_focus


def test_a_reading_filed_meanwhile_does_not_take_what_is_being_typed(small, open_at) -> None:
    at = open_at(small, "P1.bore")
    at.type("40.0")
    done: list[object] = []
    small.act(lambda j: j.reading("P1.plug", "40.101"), then=done.append)
    at.until(lambda: bool(done))
    assert at.box == "40.0"
    assert "40.0 mm" in at.echo


def test_a_coverage_leads_to_a_photo_first(small, open_at) -> None:
    at = open_at(small, "C1.covered")
    assert not at.screen.column.box.isVisible()
    assert at.screen.pages.first.isVisible()
    assert not at.screen.pages.place.isVisible()
    assert "Measured on a photo" in at.screen.column.instead.text()


def test_a_worked_out_check_leads_to_what_it_waits_for(small, open_at, qtbot) -> None:
    at = open_at(small, "P1.press")
    assert "Plug - Bore" in at.screen.column.instead.text()
    verbs = [v for v in at.screen.pages._sources if v.isVisible()]
    assert [v.words() for v in verbs] == [
        "Plug: not measured yet", "Bore: not measured yet",
    ]  # fmt: skip
    qtbot.mouseClick(verbs[1], Qt.MouseButton.LeftButton)
    assert small.where.key == "P1.bore"
    assert at.has_focus


def test_a_location_without_checks_says_so(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    at.file("58.341")
    benched.go_to_check("G1")
    assert "nothing is measured here" in at.screen.question.text
    assert not at.screen.column.box.isVisible()
    assert "Nothing is measured here" in at.screen.column.instead.text()
    assert at.screen.below.limit.heading == ""


def test_no_limit_line_while_readings_are_missing(benched, open_at) -> None:
    at = open_at(benched, "M1.journal")
    for text in ("58.341", "58.342", "58.340"):
        at.file(text)
        assert at.screen.below.limit.line is None
        assert at.screen.below.holds_grid
    at.file("58.341")
    assert at.screen.below.limit.line is not None
    assert not at.screen.below.holds_grid
    assert at.screen.column.grid.isVisible()


@pytest.mark.parametrize("size", [(1024, 680), (1280, 800), (1920, 1080)])
def test_chips_and_rows_of_a_grid_are_seen_in_every_window(demo, open_at, size) -> None:
    at = open_at(demo, "Z1.bore")
    at.window.resize(*size)
    below, grid = at.screen.below, at.screen.column.grid
    at.until(lambda: at.screen.width() > 0 and below.room.height() >= grid.least_high)
    assert at.screen.chips.isVisible()
    area = below.room.viewport().rect()
    rows = [grid.cell_rect(cell.spot).translated(grid.pos()) for cell in grid.table.cells]
    seen = [row for row in rows if area.top() <= row.top() and row.bottom() <= area.bottom() + 1]
    assert len(seen) >= (4 if size[1] < 800 else len(rows))  # two rows of two, else all
    # What is next has a row of its own, below the grid.
    if size[1] >= 800:
        assert below.next_words.startswith("Say what bore-a was zeroed to")
        assert below._next_row.y() >= below.room.geometry().bottom()


def test_chips_show_all_names_or_that_of_the_check_shown_and_never_a_part(demo, open_at) -> None:
    at = open_at(demo, "Z1.bore")
    chips = at.screen.chips
    chips.resize(1400, 48)
    assert chips.shown[:2] == ["Bore Alt 1", "Taper Alt 2"]
    chips.resize(420, 48)
    assert chips.shown[:3] == ["Bore Alt 1", "2", "3"]


def test_chips_drop_their_keys_before_they_drop_their_names(demo, open_at) -> None:
    chips = open_at(demo, "Z1.bore").screen.chips
    chips.resize(1400, 48)
    names = [each.removesuffix(f" Alt {n}") for n, each in enumerate(chips.shown, 1)]
    said = []
    for width in range(1400, 300, -10):
        chips.resize(width, 48)
        said.append(chips.shown)
    assert names in said
    assert said.index(names) > said.index([f"{each} Alt {n}" for n, each in enumerate(names, 1)])


def test_yes_and_no_have_room_for_their_keys(demo, open_at) -> None:
    looked = next(c.key for c in demo.round.checks if c.characteristic.kind == "yes-no")
    column = open_at(demo, looked).screen.column
    for verb in (column.yes, column.no):
        assert verb.isVisible()
        assert verb.width() >= verb.sizeHint().width()


def test_a_verb_can_be_dressed_as_any_other(small, open_at) -> None:
    verb = open_at(small, "C1.covered").screen.pages.place
    assert verb.property("part") == "primary"
    be_primary(verb, primary=False)
    assert (verb.property("part"), verb.font().bold()) == ("plain", False)


def test_a_check_without_limit_leads_to_its_line_of_the_plan(demo, open_at) -> None:
    at = open_at(demo, "Z1.bore")
    assert at.screen.pages.limit.isVisible()
    at.key(Qt.Key.Key_L, CTRL)
    assert demo.where == Where("job", "Z1.bore", part="Plan")


@pytest.mark.parametrize("size", [(1024, 680), (1280, 800), (1920, 1080)])
def test_the_box_and_the_row_below_are_whole_in_every_window(benched, open_at, size) -> None:
    at = open_at(benched, "M1.journal")
    at.window.resize(*size)
    at.desk.wear(DARK)

    def whole(widget) -> bool:
        there = widget.rect().translated(widget.mapTo(at.screen, widget.rect().topLeft()))
        return at.screen.rect().contains(there)

    at.until(lambda: whole(at.screen.column.box) and whole(at.screen.foot))
    assert (at.window.width(), at.window.height()) == size  # nothing made it wider
    verbs = [v for v in at.screen.foot.findChildren(QAbstractButton) if v.isVisible()]
    for left, right in pairwise(sorted(v.geometry().left() for v in verbs)):
        assert left < right
    assert all(v.height() >= 48 for v in verbs)
