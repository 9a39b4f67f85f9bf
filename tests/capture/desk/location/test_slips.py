"""A reading that looks like a slip: asked about in its place, answered by R, K or another reading.

A micrometer's thimble turns 0.5 mm (common practice, no source; see the slips' own tests).
"""

import pytest
from PySide6.QtCore import Qt

from capture.plans.reader import parse_plan
from tests.capture.desk.location.conftest import CTRL, Bench
from tests.capture.small_plan import PLAN

_SLIP = "58.841"  # one turn of 0.5 mm above the two before it


@pytest.fixture
def asked(benched, open_at) -> Bench:
    """Two readings are filed, a third is one turn off and asked about."""
    at = open_at(benched, "M1.journal")
    at.file("58.341")
    at.file("58.342")
    at.file(_SLIP)
    at.until(lambda: at.screen.column.page == "slip")
    return at


def test_it_is_asked_about_and_not_filed(asked) -> None:
    assert "One turn of the thimble?" in asked.screen.column.slip.text
    assert "away from the other readings here" in asked.screen.column.slip.text
    assert _SLIP not in asked.screen.column.slip.text  # and no other number is offered either
    assert "58.34" not in asked.screen.column.slip.text
    assert len(asked.check().cells) == 2
    assert asked.box == _SLIP
    assert asked.has_focus


def test_the_spot_asked_about_stays_the_next(asked) -> None:
    third = asked.check().characteristic.spots[2]
    assert asked.screen.column.grid.here == third


def test_question_and_answers_are_seen_whole(asked) -> None:
    slip = asked.screen.column.slip
    for answer in (slip.again, slip.keep):
        asked.until(lambda answer=answer: not answer.visibleRegion().isEmpty())
        assert answer.visibleRegion().boundingRect() == answer.rect()


def test_r_reads_again_though_the_box_has_the_focus(asked) -> None:
    third = asked.check().characteristic.spots[2]
    asked.type("r")
    asked.until(lambda: bool(asked.check().slips))
    assert asked.check().slips[0].record.answer == "withdrawn"
    assert asked.box == ""
    assert asked.screen.column.page == "about"
    asked.file("58.340")
    assert asked.check().cells[third].record.text == "58.340"


def test_k_keeps_it_with_words(asked) -> None:
    assert asked.echo == "Asked below: R or K."
    asked.type("k")
    assert asked.screen.column.page == "ask"
    # Nobody read it again, and nothing says so unless the hand does.
    assert asked.screen.column.ask.field("words").text() == "kept as it was read"
    asked.key(Qt.Key.Key_Return)  # Return alone accepts nothing
    assert len(asked.check().cells) == 2
    asked.key(Qt.Key.Key_A, CTRL)
    asked.type("read three times, the journal is stepped")
    asked.key(Qt.Key.Key_Return, CTRL)
    asked.until(lambda: len(asked.check().cells) == 3)
    slip = asked.check().slips[0].record
    assert (slip.answer, slip.words) == ("stands", "read three times, the journal is stepped")
    assert asked.has_focus
    assert asked.box == ""


def test_the_same_again_is_no_answer(asked) -> None:
    asked.key(Qt.Key.Key_Return)
    assert "R to read again, K to keep it" in asked.echo
    assert asked.check().slips == ()


def test_another_reading_withdraws_the_first(asked) -> None:
    asked.file("58.343")
    asked.until(lambda: len(asked.check().cells) == 3)
    slip = asked.check().slips[0].record
    assert (slip.answer, slip.words) == ("withdrawn", "typed again as '58.343'")
    assert asked.check().cells[asked.check().characteristic.spots[2]].record.text == "58.343"


def test_leaving_the_words_brings_the_question_back(asked) -> None:
    asked.type("k")
    asked.key(Qt.Key.Key_Escape)
    assert asked.screen.column.page == "slip"
    assert asked.has_focus


def test_the_question_waits_at_its_check(asked) -> None:
    asked.desk.go_to_check("S1.seated")
    asked.type("r")  # answers nothing here
    assert asked.check("M1.journal").slips == ()
    asked.screen.column.box.clear()
    asked.desk.go_to_check("M1.journal")
    assert asked.screen.column.page == "slip"
    assert asked.box == _SLIP


def test_r_works_with_the_focus_elsewhere_too(asked) -> None:
    for elsewhere in (asked.screen.foot.history, asked.window.round_pane.gallery):
        elsewhere.setFocus()
    asked.key(Qt.Key.Key_R)
    asked.until(lambda: bool(asked.check().slips))
    assert asked.check().slips[0].record.answer == "withdrawn"
    assert asked.has_focus


def test_k_works_with_the_focus_elsewhere_too(asked) -> None:
    asked.screen.foot.history.setFocus()
    asked.key(Qt.Key.Key_K)
    assert asked.screen.column.page == "ask"


def test_both_answers_work_by_press(asked, qtbot) -> None:
    qtbot.mouseClick(asked.screen.column.slip.keep, Qt.MouseButton.LeftButton)
    assert asked.screen.column.page == "ask"
    asked.key(Qt.Key.Key_Escape)
    qtbot.mouseClick(asked.screen.column.slip.again, Qt.MouseButton.LeftButton)
    asked.until(lambda: bool(asked.check().slips))
    assert asked.check().slips[0].record.answer == "withdrawn"


_TORQUE = """

[[location]]
id = "F1"
name = "Main cap bolt"
  [[location.check]]
  id = "torque"
  kind = "torque"
  question = "Last stage?"
  limit = { at_least = "92 N.m", at_most = "100 N.m", source = "builder's own" }

[[hold_point]]"""


def test_a_torque_read_by_the_wrong_scale_is_done_again_not_relabelled(begun, open_at) -> None:
    text = PLAN.replace("\n[[hold_point]]", _TORQUE, 1)
    at = open_at(begun(parse_plan(text.encode(), "plan.toml")), "F1.torque")
    # NIST SP 811 B.8: 1 lbf.ft = 1.355 818 N.m; 96 N.m, the middle, reads 70.8 on the other scale
    figure = f"{96 / 1.355818:.1f}"
    assert figure == "70.8"
    at.file(figure)
    at.until(lambda: at.screen.column.page == "slip")
    assert at.screen.column.slip.again.words() == "Do it again"
    at.type("r")
    at.until(lambda: bool(at.check().slips))
    at.file(f"{figure} lbf.ft")
    assert "is done again" in at.echo
    assert at.check().current is None
    at.screen.column.box.clear()
    at.file("95.5")
    at.until(lambda: at.check().current is not None)
    assert at.check().state == "within"
