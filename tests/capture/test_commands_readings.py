"""benchproof reading with grids, differences, doubts and slips; check and budget beside it."""

import io
import sys
from math import hypot, sqrt
from pathlib import Path

import pytest

from capture.commands.typed_reading import read_doubt, read_temperature
from capture.errors import WrongUse
from store.book import Book
from store.characteristic import Spot
from store.evidence import Read, SlipAsked
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.command import SAMPLES, run
from tests.capture.small_plan import PLAN


@pytest.fixture
def book(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(BENCH_PLAN, encoding="utf-8")
    assert run("start", plan, tmp_path / "book", "--by", "Ann", "--bench", "bench-1").code == 0
    return tmp_path / "book"


def readings(book: Path) -> list[Read]:
    with Book.open(book, read_only=True) as opened:
        return [e.evidence for e in opened.entries() if isinstance(e.evidence, Read)]


def entries(book: Path) -> int:
    with Book.open(book, read_only=True) as opened:
        return len(opened.entries())


def test_a_grid_is_filled_in_its_order_and_says_what_is_next(book: Path) -> None:
    first = run("reading", book, "M1.journal", "58.352 mm", "58.351 mm")
    assert first.code == 0
    assert "M1.journal along: 58.352 mm" in first.out
    assert "M1.journal across: 58.351 mm" in first.out
    assert "M1.journal: 2 of 4 readings, next: along, no. 2" in first.out
    last = run("reading", book, "M1.journal", "58.353 mm", "58.350 mm", "--json")
    answer = last.answer()
    assert answer["state"] == "within"
    assert answer["next"] is None
    assert answer["readings"] == {"there": 4, "of": 4}
    # The mean of the four, worked by hand.
    assert answer["value"]["value"] == pytest.approx(58.3515)
    assert [read.spot for read in readings(book)] == [
        Spot("", "along", 1), Spot("", "across", 1), Spot("", "along", 2), Spot("", "across", 2),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("spot", "filled"),
    [
        ("across", Spot("", "across", 1)),
        ("#2", Spot("", "along", 2)),
        ("across #2", Spot("", "across", 2)),
        ("across, no. 2", Spot("", "across", 2)),  # as the answer itself says it
        ("ACROSS", Spot("", "across", 1)),
    ],
)
def test_a_spot_may_be_named_in_part(book: Path, spot: str, filled: Spot) -> None:
    assert run("reading", book, "M1.journal", "58.351 mm", "--spot", spot).code == 0
    assert readings(book)[0].spot == filled


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["M1.journal", "58.35 mm", "--spot", "top"], "it has along, across; #1 to #2"),
        (["M1.journal", *["58.35 mm"] * 5], "5 readings were typed, and M1.journal waits for 4"),
        (["M1.strip", "0.05 mm", "0.06 mm"], "M1.strip takes one reading, and 2 were typed"),
        (["M1.strip", "0.05 mm", "--spot", "top"], "is read once and has no spots"),
        (["M1.bore", "0.02 mm bigger"], "bore-1 reads a difference: say what it was zeroed to, as"),
        (["M1.bore", "0.02 mm bigger", "--zero", "M1.journal"], "M1.journal has no value yet"),
        (["M1.strip", "0.05 mm", "--doubt", "0.002 mm"], "--doubt '0.002 mm': say how much and"),
        (["M1.strip", "0.05 mm", "--part-temp", "warm"], "--part-temp 'warm' is no temperature"),
        (["M1.strip", "0.05 mm", "--read-at", "2998-01-01 10:40"], "is still to come, today is"),
        (["M1.strip", "0.05 mm", "--photo", "x.jpg"], "no photo 'x.jpg' is filed at M1"),
        (["M1.journal", "58.351 mm", "58,352 mm"], "may be thousands or a decimal"),
    ],
)
def test_what_is_typed_wrongly_keeps_nothing(book: Path, arguments: list[str], told: str) -> None:
    before = entries(book)
    done = run("reading", book, *arguments)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert told in done.err
    assert entries(book) == before


def test_a_full_grid_is_read_again_only_where_it_is_said(book: Path) -> None:
    run("reading", book, "M1.journal", "58.352 mm", "58.351 mm", "58.353 mm", "58.350 mm")
    again = run("reading", book, "M1.journal", "58.351 mm")
    assert again.code == 2
    assert 'to read one again say which, as --spot "along #1"' in again.err
    both = run("reading", book, "M1.journal", "58.351 mm", "--spot", "along")
    assert both.code == 2
    assert "all readings at 'along' are there: say which one to read again" in both.err
    assert '--spot "along #1"' in both.err
    one = run("reading", book, "M1.journal", "58.356 mm", "--spot", "along #1")
    assert one.code == 0
    # (58.356 + 58.351 + 58.353 + 58.350) / 4, by hand
    assert run(
        "reading", book, "M1.journal", "58.350 mm", "--spot", "across #2", "--json"
    ).answer()["value"]["value"] == pytest.approx(58.3525)


def test_a_difference_keeps_its_zero_and_shares_its_error(book: Path) -> None:
    run("reading", book, "M1.journal", *["58.350 mm"] * 4)
    done = run("reading", book, "M1.bore", "0.041 mm bigger", "--zero", "M1.journal", "--json")
    assert done.code == 0
    clearance = done.answer()["following"][0]
    assert clearance["key"] == "M1.clearance"
    assert clearance["value"]["value"] == pytest.approx(0.041)
    # The journal and all its errors cancel: what is left is the bore gauge's own resolution and
    # error, two rectangles as squares (JCGM 100:2008 4.3.7, 5.1.2, 5.2.2).
    assert clearance["value"]["u"] == pytest.approx(hypot(0.0005, 0.002) / sqrt(3))
    budget = run("budget", book, "M1.clearance", "--json").answer()
    assert budget["u"] == pytest.approx(hypot(0.0005, 0.002) / sqrt(3))
    told = {
        line["source"]: line["half_width"] for line in budget["sources"] if line["contribution"]
    }
    assert told == {
        "error of bore-1": pytest.approx(0.002),
        "resolution of bore-1": pytest.approx(0.0005),
    }
    assert budget["expanded"] == pytest.approx(budget["k"] * budget["u"])
    lines = run("budget", book, "M1.clearance").out
    assert "error of bore-1       0.0020 mm" in lines
    assert "rectangular" in lines
    assert "effective degrees of freedom: infinite" in lines


def test_a_doubt_a_temperature_and_a_photo_stay_with_the_reading(book: Path) -> None:
    run("photo", book, SAMPLES / "bearing-1.jpg", "--at", "M1", "--role", "part on the gauge")
    done = run(
        "reading", book, "M1.strip", "0.05 mm", "--doubt", "0.01 mm: between two marks",
        "--part-temp", "70 F", "--photo", "bearing-1.jpg",
    )  # fmt: skip
    assert done.code == 0
    assert "caution: Keep it out of the oil hole." in done.out
    (read,) = readings(book)
    assert read.doubts[0].what == "between two marks"
    assert read.doubts[0].half_width.value == pytest.approx(0.01)
    # (70 - 32) / 1.8, one temperature for both
    assert (read.part_c, read.gauge_c) == (21.11, 21.11)
    assert len(read.photos) == 1
    shown = run("check", book, "M1.strip").out
    assert "doubt +- 0.01 mm: between two marks" in shown
    assert "part 21.11 C" in shown


def test_an_agreement_says_en_and_what_to_read_again(book: Path) -> None:
    run("reading", book, "M1.journal", *["58.350 mm"] * 4)
    run("reading", book, "M1.bore", "0.041 mm bigger", "--zero", "M1.journal")
    run("reading", book, "M1.strip", "0.038 to 0.051 mm")
    answer = run("budget", book, "M1.ways", "--json").answer()
    # ISO 13528: En = |a - b| / U(a - b)
    assert answer["en"] == pytest.approx(0.0035 / answer["expanded"])
    assert answer["worth_repeating"] == "M1.strip"
    lines = run("budget", book, "M1.ways").out
    assert "M1.clearance and M1.strip agree, En" in lines
    assert "worth reading again: M1.strip" in lines


def test_without_a_value_there_is_no_budget(book: Path) -> None:
    done = run("budget", book, "M1.clearance")
    assert (done.code, done.out) == (2, "")
    assert "has no value yet" in done.err
    assert run("budget", book, "M1.ways").code == 3


def test_an_overdue_gauge_warns_at_each_reading(book: Path) -> None:
    done = run("reading", book, "M1.journal", "58.351 mm")
    assert "gauge mic-1 was due for a check on 2021-03-02" in done.err
    again = run("reading", book, "M1.journal", "58.352 mm", "--json")
    assert any("mic-1 was due" in warning for warning in again.answer()["warnings"])
    assert "was due" not in run("reading", book, "M1.strip", "0.05 mm").err


def test_a_number_without_a_gauge_is_told_what_is_not_counted(book: Path) -> None:
    bare = run("reading", book, "M1.strip", "0.05 mm")
    assert "no gauge was named, so that its error is not counted" in bare.err
    named = run("reading", book, "M1.strip", "0.05 mm", "--gauge", "depth-1")
    assert "no gauge" not in named.err
    assert "no gauge" not in run("reading", book, "S1.seated", "yes").err


SLIP = ["M1.journal", "58.851 mm"]  # 0.5 mm off its neighbours: a metric thimble's turn


@pytest.fixture
def nearly(book: Path) -> Path:
    """A book whose next reading would be a slip."""
    assert run("reading", book, "M1.journal", "58.352 mm", "58.351 mm").code == 0
    return book


def test_a_suspected_slip_is_not_filed_and_says_what_to_do(nearly: Path) -> None:
    before = entries(nearly)
    done = run("reading", nearly, *SLIP)
    assert (done.code, done.out) == (2, "")
    assert "one turn of the thimble? Look again" in done.err
    assert "--stands" in done.err
    assert entries(nearly) == before


def test_what_was_filed_before_a_slip_is_said(book: Path) -> None:
    done = run("reading", book, "M1.journal", "58.352 mm", "58.351 mm", "58.851 mm")
    assert done.code == 2
    assert "filed before it: along: 58.352 mm" in done.err
    assert len(readings(book)) == 2


def test_a_slip_that_stands_is_filed_with_its_words(nearly: Path) -> None:
    done = run("reading", nearly, *SLIP, "--stands", "looked again, twice")
    assert done.code == 0
    with Book.open(nearly, read_only=True) as opened:
        asked = [e.evidence for e in opened.entries() if isinstance(e.evidence, SlipAsked)]
    assert [(each.answer, each.words) for each in asked] == [("stands", "looked again, twice")]
    assert "stands (looked again, twice)" in run("check", nearly, "M1.journal").out


class Keyboard(io.StringIO):
    """A terminal at which somebody types these lines."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("typed", "code", "kept", "asked"),
    [
        ("stands, clean face\n", 0, "58.851 mm", ["stands"]),
        ("58.353 mm\n", 0, "58.353 mm", ["withdrawn"]),
        ("58.852 mm\n58.352 mm\n", 0, "58.352 mm", ["withdrawn", "withdrawn"]),
        ("\n", 2, "58.351 mm", ["withdrawn"]),
    ],
)
def test_at_a_terminal_a_slip_is_asked_about(
    nearly: Path,
    monkeypatch: pytest.MonkeyPatch,
    typed: str,
    code: int,
    kept: str,
    asked: list[str],
) -> None:
    monkeypatch.setattr(sys, "stdin", Keyboard(typed))
    done = run("reading", nearly, *SLIP)
    assert done.code == code
    assert "one turn of the thimble" in done.err
    assert readings(nearly)[-1].text == kept
    with Book.open(nearly, read_only=True) as opened:
        found = [e.evidence for e in opened.entries() if isinstance(e.evidence, SlipAsked)]
    assert [each.answer for each in found] == asked
    assert run("verify", nearly).code == 0


def test_a_check_is_told_whole(book: Path) -> None:
    run("reading", book, "M1.journal", "58.352 mm", "58.351 mm", "58.353 mm", "58.350 mm")
    run("strike", book, "2", "--reason", "burr")
    run("reading", book, "M1.journal", "58.354 mm", "--spot", "along #1")
    told = run("check", book, "M1.journal").out
    for words in (
        "M1.journal  Main bearing", "question Journal?",
        "within, 58.352 mm, mean of 4 readings (attempt 1)",
        "at least 58.3 mm and at most 58.4 mm [builder's own]", "gauge    mic-1",
        "#1  58.354 mm  58.351 mm", "#2  58.353 mm  58.350 mm",
        "struck: entry 2, along: 58.352 mm (burr)", "hidden   by crank", "odds of being within",
    ):  # fmt: skip
        assert words in told, words
    answer = run("check", book, "M1.journal", "--json").answer()
    assert [r["counts"] for r in answer["all_readings"]] == [False, True, True, True, True]
    assert [hold["id"] for hold in answer["hold_points"]] == ["crank", "sump"]


def test_the_reading_that_decided_is_marked_in_the_grid(book: Path) -> None:
    depths = ("2.31 mm BELOW", "2.35 mm BELOW", "2.30 mm BELOW", "2.33 mm BELOW")
    done = run("reading", book, "G2.depth", *depths)
    # A range of depths is no depth, and has no side.
    assert "within, 0.05" in done.out
    assert "range of 4 readings" in done.out
    told = run("check", book, "G2.depth").out
    # Told to the step of their uncertainty, as everywhere.
    assert "2.350 mm BELOW*" in told
    assert "2.300 mm BELOW*" in told
    assert "2.310 mm BELOW*" not in told
    assert "* decided the range" in told
    assert "at most 0.2 mm [builder's own]" in told


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("21.5", 21.5), ("21,5 C", 21.5), ("20°C", 20.0), ("68 F", 20.0), ("-4", -4)],
)
def test_a_temperature_is_celsius_unless_it_says_f(text: str, celsius: float) -> None:
    assert read_temperature(text, "--part-temp") == pytest.approx(celsius)


@pytest.mark.parametrize("text", ["", "0 mm: burr", ": burr", "0.1 mm:", "0.1 furlongs: burr"])
def test_a_doubt_is_a_width_and_a_reason(text: str) -> None:
    with pytest.raises(WrongUse, match="--doubt"):
        read_doubt(text, "mm", decimal_comma=False)


def test_what_is_answered_in_words_has_no_budget_and_is_said_to_be_so(book: Path) -> None:
    assert run("reading", book, "S1.seated", "yes").code == 0
    done = run("budget", book, "S1.seated")
    assert (done.code, done.out) == (2, "")
    assert "S1.seated is answered in words: a budget is of a number" in done.err


def test_a_hold_point_counts_all_that_is_unproven_behind_those_it_hides(book: Path) -> None:
    told = run("round", book).out
    crank = told[told.index("hold point crank") : told.index("hold point sump")]
    unproven = [line for line in crank.splitlines() if line.startswith("  unproven ")]
    # Its debris log and its plugs too: sump asks for neither, and can't be closed before them.
    assert any("no debris log" in line for line in unproven)
    assert any("no plug is in" in line for line in unproven)
    assert f"  and the {len(unproven)} unproven of crank\n" in told


def test_where_nothing_is_left_to_measure_the_round_names_the_next_hold_point(
    tmp_path: Path,
) -> None:
    (tmp_path / "plan.toml").write_text(ONE_ANSWER, encoding="utf-8")
    book = tmp_path / "book"
    assert run("start", tmp_path / "plan.toml", book, "--by", "Ann").code == 0
    assert "next: H1.clean, Clean?" in run("round", book).out
    assert run("reading", book, "H1.clean", "no").code == 5
    last = run("round", book).out.splitlines()[-1]
    assert last == "nothing is left to measure; hold point lid waits for what is told above"
    assert run("reading", book, "H1.clean", "yes").code == 0
    last = run("round", book).out.splitlines()[-1]
    assert last == "nothing is left to measure; hold point lid waits for nothing any more: close it"
    assert run("close", book, "lid").code == 0
    assert "nothing is left" not in run("round", book).out


ONE_ANSWER = """format = 1
[job]
number = "1"
engine = "e"
customer = "c"
shop = "s"
[[location]]
id = "H1"
name = "Head"
  [[location.check]]
  id = "clean"
  kind = "yes-no"
  question = "Clean?"
[[hold_point]]
id = "lid"
name = "Lid goes on"
hides = ["H1"]
"""


def test_a_gauge_whose_error_cancels_is_named_below_the_budget(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    book = tmp_path / "book"
    assert run("start", tmp_path / "plan.toml", book, "--by", "Ann").code == 0
    run("reading", book, "P1.bore", "40.012 mm")
    run("reading", book, "P1.plug", "40.087 mm")
    told = run("budget", book, "P1.press")
    assert "the error of mic-1, up to 0.004 mm, is taken as one for all its readings" in told.out
    assert "  error of mic-1" not in told.out
    assert run("budget", book, "P1.press", "--json").answer()["cancelled"] == ["mic-1"]
    # In one reading it stays; a typed +- speaks for the gauge, and nothing of it is left out.
    alone = run("budget", book, "P1.bore")
    assert "error of mic-1" in alone.out
    assert "cancels" not in alone.out
    run("reading", book, "P1.bore", "40.012 mm +- 0.002 mm")
    assert run("budget", book, "P1.press", "--json").answer()["cancelled"] == []
