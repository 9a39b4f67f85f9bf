"""The rows of the round, held against what the plan and the book say. No window here."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.demo.job import read_demo_plan
from capture.demo.samples import sample_photo
from capture.desk.walk.folding import folded
from capture.desk.walk.following import next_of
from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Row
from capture.desk.walk.rows import (
    Asked,
    covers_after,
    lying_of_all,
    props_of,
    rows_of,
    rows_of_plan,
    walk_of,
)
from capture.desk.where import Where
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.plan import HoldPoint, Job, Location, Plan
from store.round import Round
from tests.capture.bench_plan import BENCH_PLAN
from tests.capture.desk.conftest import ticking
from tests.capture.small_plan import PLAN

Begin = Callable[[Plan], Journey]


@pytest.fixture
def begin(tmp_path: Path) -> Iterator[Begin]:
    begun: list[Journey] = []

    def begin(plan: Plan) -> Journey:
        begun.append(Journey.start(
            plan, tmp_path / "book", bench="b", clock=ticking(), user="R. Ansell", version="0",
        ))  # fmt: skip
        return begun[-1]

    yield begin
    for journey in begun:
        journey.book.close()


@pytest.fixture
def small(begin: Begin) -> Journey:
    return begin(parse_plan(PLAN.encode(), "plan.toml"))


@pytest.fixture
def benched(begin: Begin) -> Journey:
    return begin(parse_plan(BENCH_PLAN.encode(), "plan.toml"))


def rows(
    known: Round, *, find: str = "", open_only: bool = False, where: Where | None = None
) -> list[Row]:
    return rows_of(walk_of(known), Asked(find, open_only, where or Where("map")))


def row_of(known: Round, key: str, where: Where | None = None) -> LocationRow | HoldRow:
    found = next(row for row in rows(known, where=where) if row.key == key)
    assert not isinstance(found, FoldedRow)
    return found


def prove_all_of_p1(journey: Journey) -> None:
    """Type what makes P1 of the small plan proven."""
    for key, text in (
        ("bore", "40.012 mm +- 0.002 mm"), ("plug", "40.087 mm +- 0.002 mm"),
        ("depth", "3.0 mm +- 0.1 mm BELOW"), ("clean", "yes"),
    ):  # fmt: skip
        journey.reading(f"P1.{key}", text)


# --- order -----------------------------------------------------------------------------------


def is_in_order(shown: list[Row], plan: Plan) -> None:
    """Hold the rows against the plan: numbers count up, each cover ends what it hides."""
    locations = [row for row in shown if isinstance(row, LocationRow)]
    assert [row.key for row in locations] == [location.id for location in plan.locations]
    assert [row.number for row in locations] == list(range(1, len(plan.locations) + 1))
    keys = [row.key for row in shown]
    ids = [location.id for location in plan.locations]
    assert sorted(set(keys) - set(ids)) == sorted(hold.id for hold in plan.hold_points)
    for hold in plan.hold_points:
        hidden = plan.hidden_by(hold.id)
        at = keys.index(hold.id)
        above = [key for key in keys[:at] if key in ids]
        if hidden:
            assert above[-1] == hidden[-1]
        assert all(keys.index(below) < at for below in plan.closed_before(hold.id))


def test_the_demo_plan_s_rows_are_in_order(begin: Begin) -> None:
    plan = read_demo_plan()
    known = begin(plan).round()
    is_in_order(rows(known), plan)
    is_in_order(rows_of_plan(plan), plan)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Plans of bare locations whose covers hide any of them, and any cover drawn before."""
    count = draw(st.integers(1, 8))
    locations = tuple(Location(f"L{n}", f"Location {n}") for n in range(count))
    holds: list[HoldPoint] = []
    for n in range(draw(st.integers(0, 4))):
        below = [hold.id for hold in holds]
        hides = draw(st.lists(
            st.sampled_from([location.id for location in locations] + below), unique=True,
        ))  # fmt: skip
        holds.append(HoldPoint(f"H{n}", f"Cover {n}", tuple(hides)))
    order = draw(st.permutations(holds))
    return Plan(Job("1", "e", "c", "s"), locations, tuple(order))


@given(plans())
def test_every_cover_stands_after_the_last_location_it_hides(plan: Plan) -> None:
    is_in_order(rows_of_plan(plan), plan)
    placed = [hold for holds in covers_after(plan).values() for hold in holds]
    assert sorted(placed) == sorted(hold.id for hold in plan.hold_points)


# --- what a row says -------------------------------------------------------------------------


def test_a_location_is_as_bad_as_its_worst_check(small: Journey) -> None:
    assert row_of(small.round(), "P1").lying.state == "not measured"
    small.reading("P1.depth", "3.0 mm +- 0.1 mm BELOW")
    assert row_of(small.round(), "P1").lying.state == "not measured"
    small.reading("P1.depth", "4.0 mm +- 0.1 mm BELOW")  # on its limit of 4 mm
    assert row_of(small.round(), "P1").lying.state == "too close to call"
    small.reading("P1.clean", "no")
    row = row_of(small.round(), "P1")
    assert (row.lying.state, row.lying.word) == ("outside", "outside")
    assert row.lying.values[0] == "0 of 5 checks proven"
    assert row.spoken == "2 Core plug 1: outside, 0 of 5 checks proven"


def test_what_is_judged_speaks_before_what_is_only_recorded(small: Journey) -> None:
    prove_all_of_p1(small)
    row = row_of(small.round(), "P1")
    # Bore and plug are only recorded; what is judged, and is within, speaks for the location.
    assert (row.lying.state, row.lying.word, row.lying.open) == ("within", "within", False)


def test_what_is_only_recorded_says_so(begin: Begin) -> None:
    text = ONE_DEPTH.replace("  limit = ", "  # limit = ")
    journey = begin(parse_plan(text.encode(), "plan.toml"))
    journey.reading("D1.depth", "1.25 mm BELOW")
    lying = row_of(journey.round(), "D1").lying
    assert (lying.state, lying.word, lying.values) == ("no limit", "recorded", ("1.25 mm BELOW",))
    assert not lying.open


def test_a_coverage_leads_with_what_is_open(small: Journey) -> None:
    from capture import layers  # noqa: PLC0415 - decoding is heavy, and only wanted here
    from capture.demo.samples import known_hole  # noqa: PLC0415 - as above

    photo, hole = sample_photo("bearing-1.jpg"), known_hole("bearing-1.jpg")
    filed = small.add_photo(photo, location="C1", role="close-up")
    placed = layers.with_rims(layers.bare_layer(photo), photo, click=hole.click,
                              near_points=None, far_points=None)  # fmt: skip
    small.coverage("C1.covered", filed.evidence.photo, placed.layer, small.givens("C1.covered"),
                   trials=2000)  # fmt: skip
    both, short = row_of(small.round(), "C1").lying.values
    covered = float(both.split(", ")[1].removesuffix(" % covered"))
    assert short == f"{100 - covered:.1f} % open"
    # The picture was rendered from a scene whose coverage is known.
    assert covered == pytest.approx(100 * hole.covered, abs=6)


def test_the_number_is_covered_while_rims_are_placed(small: Journey) -> None:
    small.reading("P1.clean", "no")
    where = Where("marking", "P1.depth")
    shown = rows(small.round(), where=where)
    row = next(r for r in shown if r.key == "P1")
    assert row.spoken == "2 Core plug 1: rims being placed, number covered, shown now"
    cover = next(r for r in shown if r.key == "cover")
    assert [prop.state for prop in cover.props] == ["not measured"]
    assert "outside" not in row.spoken + cover.spoken
    seen = row_of(small.round(), "cover")
    assert [prop.state for prop in seen.props] == ["outside"]


ONE_DEPTH = """format = 1
[job]
number = "1"
engine = "e"
customer = "c"
shop = "s"
[[location]]
id = "D1"
name = "Deck"
  [[location.check]]
  id = "depth"
  kind = "depth"
  question = "How deep?"
  datum = "face"
  limit = { at_most = "2 mm", source = "builder's own" }
"""


def test_a_struck_reading_is_shown_struck(begin: Begin) -> None:
    journey = begin(parse_plan(ONE_DEPTH.encode(), "plan.toml"))
    check = journey.reading("D1.depth", "1.25 mm BELOW")
    journey.strike(check.current.stamp.entry, "read from the wrong face")
    lying = row_of(journey.round(), "D1").lying
    assert (lying.state, lying.struck, lying.open) == ("not measured", "1.25 mm BELOW", True)
    assert "1.25 mm BELOW struck" in row_of(journey.round(), "D1").spoken


def test_readings_of_a_grid_are_counted(benched: Journey) -> None:
    benched.reading("G2.depth", "2.10 mm BELOW")
    assert row_of(benched.round(), "G2").lying.values == ("1 of 4 readings",)


def test_a_waiver_stands_beside_the_state(small: Journey) -> None:
    prove_all_of_p1(small)
    small.reading("P1.clean", "no")
    small.waive("cover", "P1.clean", reason="old stain", decided_by="R. Ansell",
                owner_agreed="by phone")  # fmt: skip
    lying = row_of(small.round(), "P1").lying
    assert (lying.state, lying.waived, lying.open) == ("outside", True, False)


def test_a_suspect_gauge_is_said(begin: Begin) -> None:
    journey = begin(parse_plan(PLAN.encode(), "plan.toml"))
    prove_all_of_p1(journey)
    journey.suspect_gauge("mic-1", since="2026-03-01", reason="dropped")
    row = row_of(journey.round(), "P1")
    assert row.lying.suspect
    assert row.lying.open
    assert "gauge suspect" in row.spoken


# --- covers ----------------------------------------------------------------------------------


def test_a_cover_is_held_off_by_what_is_unproven(begin: Begin) -> None:
    known = begin(read_demo_plan()).round()
    lines = {row.key: row for row in rows(known) if isinstance(row, HoldRow)}
    for hold in known.holds:
        wanted = list(dict.fromkeys(key.partition(".")[0] for key, _ in hold.unproven))
        shown = lines[hold.hold_point.id]
        assert len(shown.props) + shown.more == len(wanted)
        assert {prop.key for prop in shown.props} <= set(wanted)
        assert len(shown.props) <= 5
        numbers = [prop.number for prop in shown.props if prop.number]
        assert numbers == sorted(numbers)
        unproven = set(wanted) & set(hold.hides)
        assert shown.detail.startswith(f"hides {len(hold.hides)} location")
        assert f"{len(unproven)} unproven" in shown.detail


def test_another_cover_that_comes_first_is_a_prop_of_its_own(benched: Journey) -> None:
    props = row_of(benched.round(), "sump").props
    assert (props[0].key, props[0].number) == ("crank", 0)


def test_what_is_proven_but_lacks_a_photo_still_holds_the_cover_off(benched: Journey) -> None:
    benched.reading("S1.sealant", "grey, batch 12")
    benched.reading("S1.seated", "yes")
    row = row_of(benched.round(), "S1")
    assert row.lying.open
    assert "photo" in row.lying.values[0]
    known = benched.round()
    props = props_of(known, known.hold("sump"), lying_of_all(known))
    prop = next(p for p in props if p.key == "S1")
    assert prop.state == "not measured"


def test_a_closed_cover_folds_what_it_hides(small: Journey) -> None:
    prove_all_of_p1(small)
    small.close("cover")
    shown = rows(small.round())
    fold = next(row for row in shown if isinstance(row, FoldedRow))
    assert (fold.first, fold.text) == ("P1", "1 location, now hidden")
    assert fold.detail.startswith("all proven, last 09:00")
    cover = next(row for row in shown if row.key == "cover")
    assert cover.closed
    assert cover.props == ()
    assert cover.detail.startswith("closed 09:00 by R. Ansell")
    assert cover.warns == ""


def test_where_one_stands_is_never_folded_away(small: Journey) -> None:
    prove_all_of_p1(small)
    small.close("cover")
    row = row_of(small.round(), "P1", where=Where("location", "P1.bore"))
    assert row.hidden
    assert row.here


def test_what_is_found_is_never_folded_away(small: Journey) -> None:
    prove_all_of_p1(small)
    small.close("cover")
    assert [row.key for row in rows(small.round(), find="core plug")] == ["P1"]


def test_a_closed_cover_says_what_came_loose_under_it(small: Journey) -> None:
    prove_all_of_p1(small)
    small.close("cover")
    check = small.round().check("P1.depth")
    small.strike(check.current.stamp.entry, "wrong plug")
    shown = rows(small.round())
    cover = next(row for row in shown if row.key == "cover")
    assert cover.warns == "1 unproven since"
    fold = next(row for row in shown if isinstance(row, FoldedRow))
    assert fold.detail == "1 unproven"


def test_a_closed_cover_under_a_closed_one_is_out_of_sight(benched: Journey) -> None:
    known = benched.round()
    plain = rows(known)
    hidden = [
        row._replace(hidden=True) if isinstance(row, LocationRow) else row._replace(closed=True)
        for row in plain
    ]
    assert any(isinstance(row, HoldRow) and row.key == "crank" for row in folded(known, hidden))


# --- finding and what is open ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("bearing", ["M1"]),
        ("MAIN gallery", ["G1"]),
        ("gallery plugs", ["G2", "G3"]),  # their group
        ("sealant", ["S1"]),  # in a question
        ("sump", ["sump"]),
        ("4", ["M1"]),  # its number
        ("nowhere", []),
    ],
)
def test_locations_are_found_by_number_name_group_and_question(benched, words, found) -> None:
    assert [row.key for row in rows(benched.round(), find=words)] == found


def test_open_only_keeps_what_waits_the_covers_and_where_one_is(small: Journey) -> None:
    prove_all_of_p1(small)
    known = small.round()
    assert [row.key for row in rows(known, open_only=True)] == ["C1", "cover"]
    here = rows(known, open_only=True, where=Where("location", "P1.bore"))
    assert [row.key for row in here] == ["C1", "P1", "cover"]


# --- what comes next -------------------------------------------------------------------------


def test_the_line_below_says_what_comes_next(small: Journey) -> None:
    known = small.round()
    following = next_of(known, Where("map"), "P1")
    assert (following.words, following.bold, following.key) == (
        "Next open:",
        "2, Core plug 1",
        "F4",
    )
    at_cover = next_of(known, Where("hold", "cover"), "P1")
    assert (at_cover.words, at_cover.bold, at_cover.key) == ("Side cover: needs", "2", "")
    last = next_of(known, Where("map"), "")
    assert (last.bold, last.hold) == ("Side cover", "cover")
