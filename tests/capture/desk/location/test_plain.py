"""What stands in plain modules: echo, table, slip scale, history, captions. No window.

Sizes typed are invented. Conversions: the inch is 25.4 mm (1959 agreement), 1 lbf.ft is
1.355 818 N.m and 1 psi is 6.894 757 kPa (NIST SP 811, appendix B.8).
"""

from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from msgspec.structs import replace

from annotate.quantity import Quantity
from capture.desk.location.beside import Beside, read_doubt, read_earlier, read_temperature
from capture.desk.location.captions import box_label, caption_of, day, source_of, when
from capture.desk.location.echo import echo_of, side_in, whole_text
from capture.desk.location.grid_table import step_from, table_of, worst_of
from capture.desk.location.history import Line, _newest_first, history_of, looked_words
from capture.desk.location.idle import Waits, idle_words, kept_words, next_words
from capture.desk.location.in_hand import InHand, gauges_for
from capture.desk.location.instead import instead_of, source_words, sources_of
from capture.desk.location.slip_scale import scale_of
from capture.desk.location.zeros import sizes_read, zero_words
from capture.errors import BadReading
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.attempt import Stamp
from store.characteristic import Spot
from store.evidence import Marked, Zero
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.desk.conftest import ticking
from tests.capture.desk.marking.test_plain import coverage

PLAN = parse_plan(BENCH_PLAN.encode(), "plan.toml")
_MORE = """

[[location]]
id = "X1"
name = "Bolt"
  [[location.check]]
  id = "torque"
  kind = "torque"
  question = "Last stage?"
  [[location.check]]
  id = "pressure"
  kind = "pressure"
  question = "Start?"
  [[location.check]]
  id = "pin"
  kind = "pin"
  question = "Which pin?"
  [[location.check]]
  id = "lip"
  kind = "depth"
  question = "Lip?"
  datum = "face"
  unit = "in"

[[hold_point]]"""
WIDER = parse_plan(BENCH_PLAN.replace("\n[[hold_point]]", _MORE, 1).encode(), "plan.toml")


@pytest.fixture
def journey(tmp_path: Path) -> Iterator[Journey]:
    with Journey.start(
        PLAN, tmp_path / "book", bench="b", clock=ticking(), user="R. Ansell", version="0"
    ) as begun:
        yield begun


@pytest.mark.parametrize(
    ("key", "text", "side", "understood", "other"),
    [
        # 0.112 in x 25.4 = 2.8448 mm
        ("X1.lip", "0.112", "BELOW", "0.112 in BELOW", "2.845 mm"),
        ("X1.lip", "112 thou PROUD", "", "0.112 in PROUD", "2.845 mm"),
        ("X1.lip", "flush", "", "FLUSH", ""),
        # 17/32 in = 0.53125 in = 13.493 75 mm
        ("X1.lip", "17/32 in BELOW", "", "0.53125 in BELOW", "13.49 mm"),
        # 5.2 / 25.4 = 0.204 724...
        ("M1.strip", "5.2", "", "5.2 mm", "0.2047 in"),
        # 90 / 1.355 818 = 66.380...
        ("X1.torque", "90", "", "90 N·m", "66.4 lbf·ft"),
        # 212 / 6.894 757 = 30.748...
        ("X1.pressure", "212", "", "212 kPa", "30.7 psi"),
    ],
)
def test_the_echo_says_value_side_and_the_other_unit(key, text, side, understood, other) -> None:
    echo = echo_of(WIDER, key, text, Beside(side=side))
    assert (echo.understood, echo.other, echo.refusal) == (understood, other, "")


def test_a_trailing_nought_is_a_figure_that_was_read() -> None:
    assert echo_of(WIDER, "M1.strip", "0.0400", Beside()).understood == "0.0400 mm"


def test_the_echo_files_the_text_as_typed_with_the_side_chosen() -> None:
    assert echo_of(WIDER, "X1.lip", " 0.112 ", Beside(side="BELOW")).text == "0.112 BELOW"
    assert echo_of(WIDER, "X1.lip", "0.112 proud", Beside(side="BELOW")).text == "0.112 proud"


def test_a_refusal_says_what_to_type_and_files_nothing() -> None:
    echo = echo_of(WIDER, "X1.lip", "0.112", Beside())
    assert echo.text == ""
    assert "BELOW or PROUD" in echo.refusal


def test_nothing_typed_is_neither_understood_nor_refused() -> None:
    assert echo_of(WIDER, "X1.lip", "  ", Beside(side="BELOW")) == ("", "", "", "", "")


def test_one_pin_is_held_and_two_are_a_reading() -> None:
    held = echo_of(WIDER, "X1.pin", "2.7", Beside())
    assert (held.held, held.text) == ("2.7", "")
    both = echo_of(WIDER, "X1.pin", "3.0", Beside(passed="2.7"))
    assert both.text == "2.7 passed, 3.0 stopped"
    assert echo_of(WIDER, "X1.pin", "2.7 to 3.0", Beside()).understood == (
        "2.7 passed, 3.0 mm stopped"
    )
    assert "no thicker" in echo_of(WIDER, "X1.pin", "2.5", Beside(passed="2.7")).refusal


def test_a_difference_is_echoed_as_the_size_of_the_part() -> None:
    zero = Zero(Quantity(58.34, "mm", 0.001), words="58.34 mm")
    beside = Beside(gauge="bore-1", zero=zero)
    # 58.340 + 0.041; 58.381 / 25.4 = 2.298 46...
    echo = echo_of(PLAN, "M1.bore", "0.041 bigger", beside)
    assert echo.understood == "58.381 mm"
    assert echo.other == "2.2985 in"


def test_a_torque_of_the_wrong_scale_is_not_relabelled_but_may_be_read_again() -> None:
    beside = Beside(not_again=90)
    assert "done again" in echo_of(WIDER, "X1.torque", "90 lbf.ft", beside).refusal
    assert echo_of(WIDER, "X1.torque", "90", beside).refusal == ""
    assert echo_of(WIDER, "X1.torque", "91 lbf.ft", beside).refusal == ""


def test_a_side_is_taken_from_what_was_typed() -> None:
    assert side_in("0.3 proud") == "PROUD"
    assert side_in("flush") == ""  # FLUSH is of one reading only
    assert whole_text(PLAN.characteristic("G2.depth")[1], "", Beside(side="BELOW")) == ""


def _filed(journey: Journey, key: str, *texts: str) -> None:
    for text in texts:
        journey.reading(key, text, stands="looked again")


def test_the_worst_is_ringed_only_when_a_step_further_off_than_the_rest(journey) -> None:
    _filed(journey, "M1.journal", "58.341", "58.341", "58.342", "58.340")
    # Off the middle 58.341 by 0, 0, 0.001 and 0.001: no one stands out by more than a step.
    assert worst_of(journey.round().check("M1.journal"), PLAN) is None
    _filed(journey, "M1.journal", "58.345")  # the first spot again: 0.0035 off 58.3415
    assert worst_of(journey.round().check("M1.journal"), PLAN) == Spot("", "along", 1)


def test_two_readings_ring_nothing(journey) -> None:
    _filed(journey, "M1.journal", "58.341", "58.390")
    assert worst_of(journey.round().check("M1.journal"), PLAN) is None


def test_a_table_has_its_unit_in_the_heading_and_what_was_struck(journey) -> None:
    _filed(journey, "M1.journal", "58.331", "58.342")
    journey.strike(journey.round().check("M1.journal").readings[0].stamp.entry, "point missed")
    _filed(journey, "M1.journal", "58.341")
    table = table_of(journey.round().check("M1.journal"), PLAN)
    assert table.columns == ("along", "across")
    assert [name for name, _ in table.rows] == ["no. 1, mm", "no. 2, mm"]
    first = table.rows[0][1][0]
    assert (first.text, first.struck) == ("58.341", ("58.331",))
    assert table.result == ""
    _filed(journey, "M1.journal", "58.343", "58.342")
    # (58.341 + 58.342 + 58.343 + 58.342) / 4
    assert table_of(journey.round().check("M1.journal"), PLAN).result.startswith("mean 58.342 mm")


def test_a_depth_says_its_side_once_and_proud_in_its_cell(journey) -> None:
    _filed(journey, "G2.depth", "0.10 BELOW", "0.05 PROUD", "FLUSH")
    table = table_of(journey.round().check("G2.depth"), PLAN)
    assert table.rows[0][0] == "mm BELOW"
    assert [cell.text for cell in table.cells] == ["0.10", "0.05 PROUD", "FLUSH", ""]


def test_arrows_stop_at_the_edge_of_the_table(journey) -> None:
    table = table_of(journey.round().check("M1.journal"), PLAN)
    first, last = Spot("", "along", 1), Spot("", "across", 2)
    assert step_from(table, first, -1, 0) == first
    assert step_from(table, first, 1, 1) == last
    assert step_from(table, last, 0, 1) == last


def test_a_slip_is_drawn_with_the_gap_to_the_nearest(journey) -> None:
    _filed(journey, "M1.journal", "58.341", "58.343")
    check = journey.round().check("M1.journal")
    scale = scale_of(check, check.missing[0], Quantity(58.843, "mm", 0.001))
    assert len(scale.there) == 2
    near, typed = scale.gap
    assert near == max(scale.there) < typed
    # The gap of 0.5 is 250 times that of 0.002 between the two.
    assert (typed - near) / abs(scale.there[0] - scale.there[1]) == pytest.approx(250, rel=1e-6)


def test_a_slip_of_a_first_reading_is_set_against_the_limit(journey) -> None:
    check = journey.round().check("M1.journal")
    scale = scale_of(check, check.missing[0], Quantity(5.834, "mm", 0.001))
    assert scale.there_words == "the limit"
    assert scale_of(journey.round().check("M1.strip"), Spot(), Quantity(1, "mm", 0.1)) is None


def test_the_history_has_the_newest_first_and_the_struck_one_crossed(journey) -> None:
    _filed(journey, "M1.strip", "0.040", "0.041")
    journey.strike(journey.round().check("M1.strip").attempts[-1].stamp.entry, "wrong strip")
    lines = history_of(journey.round().check("M1.strip"), journey.round().place("M1"))
    assert [line.crossed for line in lines] == [True, False]
    assert "wrong strip" in lines[0].note
    assert lines[0].entry == ""  # nothing is struck twice
    assert lines[1].entry
    assert lines[1].note.startswith("2 Mar 09:")


def test_a_slip_that_was_told_stands_in_the_history(journey) -> None:
    _filed(journey, "M1.journal", "58.341", "58.342", "58.841")
    lines = history_of(journey.round().check("M1.journal"), None)
    told = next(line for line in lines if line.head.startswith("asked about"))
    assert "one turn of the thimble? kept as it is (looked again)" in told.note


def test_captions_say_where_one_is_and_where_the_limit_is_from(journey) -> None:
    known = journey.round()
    check = known.check("M1.journal")
    caption = caption_of(known, known.place("M1"), check)
    assert caption.startswith("4 of 5")
    assert "Main bearing" in caption
    assert source_of(check) == "limit: builder's own"
    assert source_of(known.check("M1.strip")) == "no limit asked"
    assert box_label(check, check.missing[1]) == "Across: length"
    assert box_label(known.check("G2.depth"), Spot("left")) == "Left: depth from the rear face"


@pytest.mark.parametrize(("spread", "told"), [(0.5, 0), (0.0, 1)])
def test_a_lean_that_may_be_to_either_side_is_said_once(spread, told) -> None:
    warned = "the picture does not settle which way the camera leans; both ways are counted"
    result = coverage(dx=0.1, dy=0.1, lean=9.0, spread=spread)
    kept = cast("Marked", SimpleNamespace(result=replace(result, warnings=(warned, "no scale"))))
    words = looked_words(kept)
    assert words[0].startswith("Leaning 9")
    assert words[-1] == "no scale."
    assert sum(warned in each for each in words) == told


def test_what_has_no_box_says_where_its_value_comes_from(journey) -> None:
    known = journey.round()
    clearance = known.check("M1.clearance")
    assert "Bore - Journal" in instead_of(clearance, known, photo="")
    assert sources_of(clearance.characteristic) == ("M1.bore", "M1.journal")
    assert sources_of(known.check("M1.ways").characteristic) == ("M1.clearance", "M1.strip")
    assert source_words(known.check("M1.journal"), "M1") == "Journal: 0 of 4 readings"
    _filed(journey, "M1.strip", "0.040")
    strip = journey.round().check("M1.strip")
    assert source_words(strip, "M1") == "Strip 0.040 mm"  # with every figure that was typed
    assert source_words(strip, "S1") == "Strip of Main bearing 0.040 mm"


def test_an_empty_box_says_what_it_waits_for(journey) -> None:
    def said(key: str, **waits: object) -> str:
        known = journey.round()
        return idle_words(known.check(key), known, Waits(Spot(), **waits))

    assert said("M1.strip") == ""
    assert said("G2.depth", sides=("BELOW", "PROUD")).startswith("Say BELOW or PROUD")
    assert said("M1.strip", under_way="0.04", kept="x") == "filing 0.04 \u2026"
    assert "Esc drops" in said("M1.strip", passed="2.7")
    _filed(journey, "M1.strip", "0.040")
    assert said("M1.strip").startswith("A reading is there")


def test_after_a_reading_the_next_check_here_is_named_then_the_next_location(journey) -> None:
    _filed(journey, "S1.sealant", "paste")
    known = journey.round()
    assert next_words(known.check("S1.sealant"), known) == "PgDn: on to Seated."
    assert next_words(known.check("S1.seated"), known) == ""  # it is not read itself
    _filed(journey, "M1.strip", "0.040")
    known = journey.round()
    assert next_words(known.check("M1.strip"), known) == (
        "Still open here: Bore (PgUp). PgDn: on to Rear seal."
    )
    _filed(journey, "G2.depth", *["0.10 BELOW"] * 4)
    known = journey.round()
    assert next_words(known.check("G2.depth"), known) == ("PgDn: on to Gallery plug, front.")


def test_only_gauges_that_can_read_it_are_offered_the_plans_own_first(journey) -> None:
    known = journey.round()
    depth = known.check("G2.depth").characteristic
    assert gauges_for(known, depth)[0].gauge.id == "depth-1"
    assert "bore-1" not in [state.gauge.id for state in gauges_for(known, depth)]


def test_what_the_hand_said_is_forgotten_with_its_check_but_for_temperatures(journey) -> None:
    hand = InHand()
    hand.read_at, hand.part_c, hand.gauge_c = "on paper", 21.5, 21.5
    assert hand.words == "read on paper; part 21.5 °C"
    hand.leave()
    assert hand.words == "part 21.5 °C"
    spot = hand.spot_of(journey.round().check("M1.journal"), [Spot("", "along", 1)])
    assert spot == Spot("", "across", 1)  # the first is being filed


@pytest.mark.parametrize(("text", "celsius"), [("21.5", 21.5), ("21,5 C", 21.5), ("68 F", 20.0)])
def test_temperatures_are_read_in_both_scales(text, celsius) -> None:
    assert read_temperature(text, "part") == celsius


def test_half_a_doubt_and_a_temperature_that_is_none_are_refused() -> None:
    assert read_doubt("", " ", unit="mm", decimal_comma=False) is None
    for width, what in (("0.01 mm", ""), ("", "parting line"), ("0", "nothing")):
        with pytest.raises(BadReading):
            read_doubt(width, what, unit="mm", decimal_comma=False)
    with pytest.raises(BadReading):
        read_temperature("warm", "part")


def test_a_day_to_come_is_no_day_of_a_reading() -> None:
    assert read_earlier("on paper at 10:40", "2026-03-02T09:00:00+01:00") == "on paper at 10:40"
    assert read_earlier("2026-03-01", "2026-03-02T09:00:00+01:00") == "2026-03-01"
    with pytest.raises(BadReading):
        read_earlier("2026-03-03", "2026-03-02T09:00:00+01:00")


def test_times_that_are_none_are_left_as_they_are() -> None:
    assert when("on paper") == "on paper"
    assert day("2026-03-02T09:00:00+01:00") == "2 Mar 2026"


def test_a_reading_that_a_later_one_replaced_says_so_with_all_its_figures(journey) -> None:
    _filed(journey, "M1.strip", "0.040", "0.041")
    later, earlier = history_of(journey.round().check("M1.strip"), None)
    assert earlier.said.startswith("0.040")
    assert earlier.note.startswith("replaced by the later reading")
    assert "replaced" not in later.note
    _filed(journey, "G2.depth", "0.10 BELOW", "0.11 BELOW", "0.12 BELOW", "0.13 BELOW")
    assert not [x for x in history_of(journey.round().check("G2.depth"), None)
                if "replaced" in x.note]  # fmt: skip


def test_an_answer_is_yes_or_no_however_it_was_typed(journey) -> None:
    _filed(journey, "S1.seated", "y")
    check = journey.round().check("S1.seated")
    assert history_of(check, None)[0].said == "yes"
    assert kept_words(check, "y", Spot(), ()) == "yes: kept."


def test_sizes_for_a_zero_are_offered_the_mates_first_then_by_its_gauge(journey) -> None:
    known = journey.round()
    tool = next(g for g in known.plan.gauges if g.id == "bore-1")
    assert sizes_read(known, known.check("M1.bore"), tool) == ()
    _filed(journey, "M1.journal", "58.341", "58.342", "58.343", "58.342")
    _filed(journey, "M1.strip", "0.040")
    known = journey.round()
    sizes = sizes_read(known, known.check("M1.bore"), tool)
    # The clearance is worked out of the journal and the bore; the strip was read later.
    assert [size.key for size in sizes] == ["M1.journal", "M1.strip"]
    assert sizes[0].words.startswith("Journal 58.342")
    assert "mic-1" in sizes[0].about
    zero = journey.zero_on("M1.journal")
    assert zero_words(known, zero, "M1").startswith("Journal 58.342")
    assert zero_words(known, journey.zero_on("58.3 mm"), "M1") == "58.3 mm"


def test_lines_of_two_benches_stand_by_their_clocks_and_what_is_no_time_last() -> None:
    """Each chain counts for itself: entry 40 of one bench may be older than entry 3 of another."""
    lines = [
        (Stamp("a", 40, "2026-03-02T09:00:00+01:00", "north", "Ann"), Line(40, "first", "", "")),
        (Stamp("b", 3, "2026-03-02T08:30:00+00:00", "south", "Bo"), Line(3, "later", "", "")),
        (Stamp("c", 90, "yesterday", "south", "Bo"), Line(90, "no time", "", "")),
    ]
    assert [line.head for line in _newest_first(lines)] == ["later", "first", "no time"]
    assert [line.head for line in _newest_first(lines[1:])] == ["no time", "later"]
