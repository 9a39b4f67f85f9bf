"""What a row says of a location: its sign, its word, its figure."""

import pytest

from capture.demo.samples import sample_photo
from capture.desk.where import Where
from capture.journey import Journey
from capture.plans.reader import parse_plan
from tests.capture.desk.walk.conftest import Begin
from tests.capture.desk.walk.one_depth import ONE_DEPTH
from tests.capture.desk.walk.read_rows import prove_all_of_p1, row_of, rows
from tests.capture.small_plan import PLAN


def test_a_location_is_as_bad_as_its_worst_check(small_book: Journey) -> None:
    assert row_of(small_book.round(), "P1").lying.state == "not measured"
    small_book.reading("P1.depth", "3.0 mm +- 0.1 mm BELOW")
    assert row_of(small_book.round(), "P1").lying.state == "not measured"
    small_book.reading("P1.depth", "4.0 mm +- 0.1 mm BELOW")  # on its limit of 4 mm
    assert row_of(small_book.round(), "P1").lying.state == "too close to call"
    small_book.reading("P1.clean", "no")
    row = row_of(small_book.round(), "P1")
    assert (row.lying.state, row.lying.word) == ("outside", "outside")
    assert row.lying.values[0] == "0 of 5 checks proven"
    assert row.spoken == "2 Core plug 1: outside, 0 of 5 checks proven"


def test_what_is_judged_speaks_before_what_is_only_recorded(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    row = row_of(small_book.round(), "P1")
    # Bore and plug are only recorded; what is judged, and is within, speaks for the location.
    assert (row.lying.state, row.lying.word, row.lying.open) == ("within", "within", False)


def test_what_is_only_recorded_says_so(begin: Begin) -> None:
    text = ONE_DEPTH.replace("  limit = ", "  # limit = ")
    journey = begin(parse_plan(text.encode(), "plan.toml"))
    journey.reading("D1.depth", "1.25 mm BELOW")
    lying = row_of(journey.round(), "D1").lying
    assert (lying.state, lying.word, lying.values) == ("no limit", "recorded", ("1.25 mm BELOW",))
    assert not lying.open


def test_a_coverage_leads_with_what_is_open(small_book: Journey) -> None:
    from capture import layers  # noqa: PLC0415 - decoding is heavy, and only wanted here
    from capture.demo.samples import known_hole  # noqa: PLC0415 - as above

    photo, hole = sample_photo("bearing-1.jpg"), known_hole("bearing-1.jpg")
    filed = small_book.add_photo(photo, location="C1", role="close-up")
    placed = layers.with_rims(layers.bare_layer(photo), photo, click=hole.click,
                              near_points=None, far_points=None)  # fmt: skip
    givens = small_book.givens("C1.covered")
    small_book.coverage("C1.covered", filed.evidence.photo, placed.layer, givens, tolerance=0.1)
    both, short = row_of(small_book.round(), "C1").lying.values
    covered = float(both.split(", ")[1].removesuffix(" % covered"))
    assert short == f"{100 - covered:.1f} % open"
    # The picture was rendered from a scene whose coverage is known.
    assert covered == pytest.approx(100 * hole.covered, abs=6)


def test_the_number_is_covered_while_rims_are_placed(small_book: Journey) -> None:
    small_book.reading("P1.clean", "no")
    where = Where("marking", "P1.depth")
    shown = rows(small_book.round(), where=where)
    row = next(r for r in shown if r.key == "P1")
    assert row.spoken == "2 Core plug 1: rims being placed, number covered, shown now"
    cover = next(r for r in shown if r.key == "cover")
    assert [prop.state for prop in cover.props] == ["not measured"]
    assert "outside" not in row.spoken + cover.spoken
    seen = row_of(small_book.round(), "cover")
    assert [prop.state for prop in seen.props] == ["outside"]


def test_a_struck_reading_is_shown_struck(begin: Begin) -> None:
    journey = begin(parse_plan(ONE_DEPTH.encode(), "plan.toml"))
    check = journey.reading("D1.depth", "1.25 mm BELOW")
    journey.strike(check.current.stamp.entry, "read from the wrong face")
    lying = row_of(journey.round(), "D1").lying
    assert (lying.state, lying.struck, lying.open) == ("not measured", "1.25 mm BELOW", True)
    assert "1.25 mm BELOW struck" in row_of(journey.round(), "D1").spoken


def test_readings_of_a_grid_are_counted(bench_book: Journey) -> None:
    bench_book.reading("G2.depth", "2.10 mm BELOW")
    assert row_of(bench_book.round(), "G2").lying.values == ("1 of 4 readings",)


def test_a_waiver_stands_beside_the_state(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    small_book.reading("P1.clean", "no")
    small_book.waive("cover", "P1.clean", reason="old stain", decided_by="R. Ansell",
                owner_agreed="by phone")  # fmt: skip
    lying = row_of(small_book.round(), "P1").lying
    assert (lying.state, lying.waived, lying.open) == ("outside", True, False)


def test_a_suspect_gauge_is_said(begin: Begin) -> None:
    journey = begin(parse_plan(PLAN.encode(), "plan.toml"))
    prove_all_of_p1(journey)
    journey.suspect_gauge("mic-1", since="2026-03-01", reason="dropped")
    row = row_of(journey.round(), "P1")
    assert row.lying.suspect
    assert row.lying.open
    assert "gauge suspect" in row.spoken


@pytest.mark.parametrize(
    ("typed", "said"),
    [("1.25 BELOW", "1.25 mm BELOW"), ("0.4 proud", "0.4 mm proud"), ("flush", "flush")],
)
def test_a_unit_that_was_taken_stands_behind_the_number(
    begin: Begin, typed: str, said: str
) -> None:
    journey = begin(parse_plan(ONE_DEPTH.encode(), "plan.toml"))
    journey.reading("D1.depth", typed)
    assert row_of(journey.round(), "D1").lying.values[0] == said
