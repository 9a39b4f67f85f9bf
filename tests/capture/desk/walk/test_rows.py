"""The rows of the round, held against what the plan and the book say. No window here."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capture.demo.job import read_demo_plan
from capture.desk.walk.following import next_of
from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Row
from capture.desk.walk.rows import (
    covers_after,
    lying_of_all,
    props_of,
    rows_of_plan,
)
from capture.desk.where import Where
from capture.journey import Journey
from capture.plans.reader import parse_plan
from store.plan import HoldPoint, Job, Location, Plan
from tests.capture.desk.walk.conftest import Begin
from tests.capture.desk.walk.one_depth import ONE_DEPTH
from tests.capture.desk.walk.read_rows import prove_all_of_p1, row_of, rows


def check_order(shown: list[Row], plan: Plan) -> None:
    """Hold the rows against the plan: numbers count up, each cover follows what it hides."""
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
        assert set(hidden) <= set(above)
        before = [key for key in keys[: at + 1] if key not in ids]
        if above:  # and no lower than it or a cover that goes on before it makes it
            assert any(above[-1] in plan.hidden_by(key) for key in before)
        assert all(keys.index(below) < at for below in plan.closed_before(hold.id))


def test_the_demo_plan_s_rows_are_in_order(begin: Begin) -> None:
    plan = read_demo_plan()
    known = begin(plan).round()
    check_order(rows(known), plan)
    check_order(rows_of_plan(plan), plan)


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


def test_no_cover_stands_before_one_that_goes_on_earlier() -> None:
    locations = tuple(Location(f"L{n}", f"Location {n}") for n in range(3))
    holds = (
        HoldPoint("side", "Side covers", ("L2",)),
        HoldPoint("top", "Top cover", ("L0",)),
        HoldPoint("out", "Engine is painted and goes out", ("L1",)),
    )
    plan = Plan(Job("1", "e", "c", "s"), locations, holds)
    assert [row.key for row in rows_of_plan(plan)] == ["L0", "L1", "L2", "side", "top", "out"]


@given(plans())
def test_every_cover_stands_after_the_last_location_it_hides(plan: Plan) -> None:
    check_order(rows_of_plan(plan), plan)
    placed = [hold for holds in covers_after(plan).values() for hold in holds]
    assert sorted(placed) == sorted(hold.id for hold in plan.hold_points)


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
        assert f"hides {len(hold.hides)} location" in shown.detail
        worst = f"{len(unproven)} unproven" if unproven else "nothing unproven"
        assert shown.detail.startswith(worst)


def test_another_cover_that_comes_first_is_a_prop_of_its_own(bench_book: Journey) -> None:
    props = row_of(bench_book.round(), "sump").props
    assert (props[0].key, props[0].number) == ("crank", 0)


def test_what_is_proven_but_lacks_a_photo_still_holds_the_cover_off(bench_book: Journey) -> None:
    bench_book.reading("S1.sealant", "grey, batch 12")
    bench_book.reading("S1.seated", "yes")
    row = row_of(bench_book.round(), "S1")
    assert row.lying.open
    assert "photo" in row.lying.values[0]
    known = bench_book.round()
    props = props_of(known, known.hold("sump"), lying_of_all(known))
    prop = next(p for p in props if p.key == "S1")
    assert prop.state == "not measured"


def test_a_closed_cover_folds_what_it_hides(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    small_book.close("cover")
    shown = rows(small_book.round())
    fold = next(row for row in shown if isinstance(row, FoldedRow))
    assert fold.state == "within"
    assert (fold.first, fold.text) == ("P1", "1 location, now hidden")
    assert fold.detail.startswith("all proven, last 09:00")
    cover = next(row for row in shown if row.key == "cover")
    assert cover.closed
    assert cover.props == ()
    assert cover.detail.startswith("closed 09:00 by R. Ansell")
    assert cover.warns == ""


def test_where_one_stands_is_never_folded_away(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    small_book.close("cover")
    row = row_of(small_book.round(), "P1", where=Where("location", "P1.bore"))
    assert row.hidden
    assert row.here


def test_what_is_found_is_never_folded_away(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    small_book.close("cover")
    assert [row.key for row in rows(small_book.round(), find="core plug")] == ["P1"]


def test_a_closed_cover_says_what_came_loose_under_it(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    small_book.close("cover")
    check = small_book.round().check("P1.depth")
    small_book.strike(check.current.stamp.entry, "wrong plug")
    shown = rows(small_book.round())
    cover = next(row for row in shown if row.key == "cover")
    assert cover.warns == "1 unproven since"
    fold = next(row for row in shown if isinstance(row, FoldedRow))
    assert fold.detail == "1 unproven"


NESTED = """
[[hold_point]]
id = "inner"
name = "Baffle goes in"
hides = ["D1"]
[[hold_point]]
id = "outer"
name = "Sump goes on"
hides = ["inner"]
"""


def test_a_closed_cover_under_a_closed_one_is_out_of_sight(begin: Begin) -> None:
    journey = begin(parse_plan((ONE_DEPTH + NESTED).encode(), "plan.toml"))
    journey.reading("D1.depth", "1.25 mm +- 0.01 mm BELOW")
    assert [row.key for row in rows(journey.round())] == ["D1", "inner", "outer"]
    journey.close("inner")
    assert [row.key for row in rows(journey.round())] == ["folded D1", "inner", "outer"]
    journey.close("outer")
    fold, outer = rows(journey.round())
    assert outer.key == "outer"
    assert isinstance(fold, FoldedRow)
    assert fold.detail == "all proven, last 09:00, 1 cover"
    at_inner = rows(journey.round(), where=Where("hold", "inner"))
    assert [row.key for row in at_inner] == ["D1", "inner", "outer"]


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
def test_locations_are_found_by_number_name_group_and_question(bench_book, words, found) -> None:
    assert [row.key for row in rows(bench_book.round(), find=words)] == found


def test_open_only_keeps_what_waits_the_covers_and_where_one_is(small_book: Journey) -> None:
    prove_all_of_p1(small_book)
    known = small_book.round()
    assert [row.key for row in rows(known, open_only=True)] == ["C1", "cover"]
    here = rows(known, open_only=True, where=Where("location", "P1.bore"))
    assert [row.key for row in here] == ["C1", "P1", "cover"]


def test_open_only_leaves_out_covers_that_are_on_unless_something_is_wrong(small_book) -> None:
    prove_all_of_p1(small_book)
    small_book.close("cover")
    known = small_book.round()
    assert [row.key for row in rows(known, open_only=True)] == ["C1"]
    at_cover = rows(known, open_only=True, where=Where("hold", "cover"))
    assert [row.key for row in at_cover] == ["C1", "cover"]
    small_book.strike(known.check("P1.depth").current.stamp.entry, "wrong plug")
    loose = [row.key for row in rows(small_book.round(), open_only=True)]
    assert loose[0] == "C1"
    assert loose[-1] == "cover"


def test_what_was_waived_stands_first_on_a_cover(small_book: Journey) -> None:
    for key, text in (("P1.bore", "40.012 mm +- 0.002 mm"), ("P1.plug", "40.087 mm +- 0.002 mm"),
                      ("P1.depth", "3.0 mm +- 0.1 mm BELOW")):  # fmt: skip
        small_book.reading(key, text)
    small_book.waive(
        "cover", "P1.clean", reason="old stain", decided_by="R. Ansell", owner_agreed="by phone"
    )
    cover = row_of(small_book.round(), "cover")
    assert cover.detail == "1 waived, the rest proven, hides 1 location"


def test_the_line_below_says_what_comes_next(small_book: Journey) -> None:
    known = small_book.round()
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
