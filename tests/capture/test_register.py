"""What is typed of a gauge, told by the member it was typed for."""

import pytest

from capture.errors import Unfit, WrongUse
from capture.plans.reader import parse_plan
from capture.register import day_to_come, entered_gauge, lacking
from tests.capture.bench_plan import BENCH_PLAN

PLAN = parse_plan(BENCH_PLAN.encode(), "plan.toml")
KNOWN = PLAN.gauges[0]
TODAY = "2026-03-02"
NEW = {"kind": "micrometer 25-50", "resolution": "0.001 mm", "permissible_error": "0.004 mm"}


def test_a_new_gauge_is_entered_with_its_units() -> None:
    gauge = entered_gauge(PLAN, "mic-9", {**NEW, "due": "2027-03-02", "marked": None}, TODAY)
    assert (gauge.id, gauge.resolution.value, gauge.resolution.unit) == ("mic-9", 0.001, "mm")
    assert (gauge.due, gauge.marked) == ("2027-03-02", "")


def test_a_torque_wrench_is_read_in_its_own_unit() -> None:
    sizes = {"kind": "wrench", "resolution": "1 N.m", "permissible_error": "4 N.m"}
    assert entered_gauge(PLAN, "wrench-9", sizes, TODAY).resolution.unit == "N.m"


def test_what_is_not_typed_stays_and_a_day_can_be_taken_away() -> None:
    gauge = entered_gauge(PLAN, KNOWN.id, {"marked": "77"}, TODAY)
    assert (gauge.kind, gauge.marked) == (KNOWN.kind, "77")
    dated = {**NEW, "last_check": "2026-01-02", "due": ""}
    assert entered_gauge(PLAN, "mic-9", dated, TODAY).due == ""


def test_nothing_changed_is_refused() -> None:
    with pytest.raises(WrongUse, match="just so"):
        entered_gauge(PLAN, KNOWN.id, {"kind": KNOWN.kind}, TODAY)


@pytest.mark.parametrize(
    ("typed", "member", "words"),
    [
        ({"resolution": "0.001"}, "resolution", "has no unit"),
        ({"permissible_error": "about 4"}, "permissible_error", "about 4"),
        ({"last_check": "last May"}, "last_check", "is no day"),
        ({"last_check": "2026-03-03"}, "last_check", "still to come"),
        ({"last_check": "2026-03-01", "due": "2026-03-01"}, "due", "not after the last check"),
        ({"set_on": "mic-9"}, "set_on", "not set on itself"),
    ],
)
def test_each_refusal_names_its_member(typed, member, words) -> None:
    with pytest.raises(Unfit) as refused:
        entered_gauge(PLAN, "mic-9", {**NEW, **typed}, TODAY)
    assert list(refused.value.fields) == [member]
    assert words in refused.value.fields[member]


def test_a_new_gauge_needs_three_things() -> None:
    assert lacking(PLAN, "mic-9", {"kind": "x"}) == ("resolution", "permissible_error")
    assert lacking(PLAN, KNOWN.id, {}) == ()
    with pytest.raises(Unfit) as refused:
        entered_gauge(PLAN, "mic-9", {"kind": "x"}, TODAY)
    assert set(refused.value.fields) == {"resolution", "permissible_error"}


def test_today_is_not_to_come() -> None:
    assert day_to_come(TODAY, TODAY) == ""
    assert "today is 2026-03-02" in day_to_come("2026-03-03", TODAY)


def test_a_share_is_no_permissible_error() -> None:
    typed = {
        "kind": "torque wrench", "resolution": "1 N.m", "permissible_error": "4 %",
    }  # fmt: skip
    with pytest.raises(Unfit) as refused:
        entered_gauge(PLAN, "wrench-z", typed, "2026-11-26")
    assert (
        "how much that comes to, in the unit the gauge reads"
        in (refused.value.fields["permissible_error"])
    )
