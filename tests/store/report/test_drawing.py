from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from annotate.quantity import Quantity
from store.characteristic import Limit
from store.judge import judge
from store.report.drawing import Lane, agreement_strip, limit_line
from store.report.figures import saying
from store.report.words import clearance

SOURCE = "maker's manual 4, page 31"


def line(value: Quantity, limit: Limit) -> dict[str, Any]:
    return limit_line((Lane("as measured", value, judge(value, limit)),), limit, saying(value))


def test_the_wall_stands_on_the_side_that_is_not_allowed() -> None:
    limit = Limit(SOURCE, at_least=Quantity(2, "mm"), at_most=Quantity(4, "mm"))
    drawn = line(Quantity(3, "mm", 0.1), limit)
    least, most = drawn["walls"]
    assert (least["side"], most["side"]) == ("left", "right")
    assert 0 < least["at"] < drawn["lanes"][0]["value"] < most["at"] < 1


@given(
    value=st.floats(-50, 50),
    u=st.floats(0.01, 10),
    wall=st.floats(-50, 50),
    least=st.booleans(),
)
def test_the_blade_is_in_the_wall_exactly_where_the_bound_passes_it(
    value: float,
    u: float,
    wall: float,
    least: bool,
) -> None:
    side = Quantity(wall, "mm")
    limit = Limit(SOURCE, at_least=side) if least else Limit(SOURCE, at_most=side)
    quantity = Quantity(value, "mm", u)
    verdict = judge(quantity, limit)
    bound = verdict.bound_low if least else verdict.bound_high
    assert bound is not None
    past = wall - bound if least else bound - wall
    assume(abs(past) > 1e-6)
    drawn = line(quantity, limit)
    blades = drawn["lanes"][0]["blades"]
    assert any(blade["inside"] for blade in blades) == (past > 0)
    for place in [drawn["walls"][0]["at"], *(b[end] for b in blades for end in ("from", "to"))]:
        assert 0 <= place <= 1
    reach = max(b["to"] for b in blades) - min(b["from"] for b in blades)
    scale = drawn["lanes"][0]["high"] - drawn["lanes"][0]["low"]
    low, high = quantity.interval()
    assert reach / scale == pytest.approx(abs(bound - value) / (high - low), rel=1e-6)


@given(value=st.floats(0, 10), u=st.floats(0.01, 1), wall=st.floats(1, 9))
def test_the_sentence_and_the_drawing_agree_whether_the_limit_is_passed(
    value: float, u: float, wall: float
) -> None:
    quantity, limit = Quantity(value, "mm", u), Limit(SOURCE, at_most=Quantity(wall, "mm"))
    verdict = judge(quantity, limit)
    assert verdict.bound_high is not None
    assume(abs(verdict.bound_high - wall) > 1e-6)
    said = clearance(quantity, verdict, saying(quantity))
    inside = any(b["inside"] for b in line(quantity, limit)["lanes"][0]["blades"])
    assert ("past the limit" in said) == inside
    assert ("The value is past" in said) == (verdict.state == "outside")


def test_a_limit_in_another_unit_is_drawn_where_it_belongs() -> None:
    # 0.1 in = 2.54 mm exactly (international inch, 1959)
    value = Quantity(2.54, "mm", 0.01)
    limit = Limit(SOURCE, at_most=Quantity(0.1, "in"))
    drawn = limit_line((Lane("", value, judge(value, limit)),), limit, saying(value))
    assert drawn["walls"][0]["at"] == pytest.approx(drawn["lanes"][0]["value"], abs=1e-9)
    assert "2.54" in drawn["walls"][0]["text"]


def test_a_limit_line_can_be_heard() -> None:
    limit = Limit(SOURCE, at_most=Quantity(4, "mm"))
    heard = line(Quantity(3.97, "mm", 0.02), limit)["alt"].replace("\u00a0", " ")
    assert "as measured: 3.97 mm" in heard
    assert "limit at most 4 mm" in heard
    assert "one-sided bound 4.00 mm" in heard
    assert heard.endswith("too close to call.")


def test_a_value_on_the_line_is_said_with_the_decimals_of_its_own_row() -> None:
    limit = Limit(SOURCE, at_most=Quantity(4, "mm"))
    rough, fine = Quantity(3.2, "mm", 0.3), Quantity(3.214, "mm", 0.002)
    lanes = tuple(Lane("", q, judge(q, limit), saying(q)) for q in (rough, fine))
    drawn = limit_line(lanes, limit, saying(fine))
    assert [lane["text"] for lane in drawn["lanes"]] == ["3.2\u00a0mm", "3.214\u00a0mm"]


def test_ends_of_a_scale_are_kept_where_it_has_true_ends() -> None:
    limit = Limit(SOURCE, at_most=Quantity(22, "%"))
    value = Quantity(11.8, "%", 2)
    lane = Lane("", value, judge(value, limit))
    drawn = limit_line((lane,), limit, saying(value), ends=(0.0, 100.0))
    assert drawn["lanes"][0]["value"] == pytest.approx(0.118)
    assert drawn["walls"][0]["at"] == pytest.approx(0.22)
    assert [tick["text"] for tick in drawn["ticks"]][:2] == ["0\u00a0%", "20\u00a0%"]


@given(a=st.floats(1, 9), b=st.floats(1, 9), u=st.floats(0.01, 1))
def test_the_band_of_agreement_is_where_both_intervals_reach(a: float, b: float, u: float) -> None:
    one, two = Quantity(a, "mm", u), Quantity(b, "mm", u)
    strip = agreement_strip([("one", one), ("two", two)], saying(one))
    lows = [row["low"] for row in strip["rows"]]
    highs = [row["high"] for row in strip["rows"]]
    assert bool(strip["band"]) == (max(lows) < min(highs))
    if strip["band"]:
        assert strip["band"] == [max(lows), min(highs)]
