"""What is written of a plan reads back as that plan."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from annotate.quantity import Quantity
from capture.errors import BadPlanFile
from capture.plans.reader import parse_plan
from capture.plans.writer import write_plan
from store.characteristic import Characteristic, Limit
from store.plan import Job, Location, Plan
from tests.capture.full_plan import FULL
from tests.capture.plan_page import FOLDER
from tests.capture.small_plan import PLAN

JOB = Job(number="1", engine="e", customer="c", shop="s")


def with_check(check: Characteristic) -> Plan:
    return Plan(job=JOB, locations=(Location("A", "a", (check,)),))


@pytest.mark.parametrize(
    "text", [PLAN, FULL, (FOLDER / "demo.toml").read_text(encoding="utf-8")], ids=len
)
def test_a_plan_that_is_written_reads_back_the_same(text: str) -> None:
    plan = parse_plan(text.encode(), "a.toml")
    written = write_plan(plan)
    assert parse_plan(written.encode(), "b.toml") == plan
    assert write_plan(parse_plan(written.encode(), "b.toml")) == written


def test_what_is_written_is_plain_to_read() -> None:
    written = write_plan(parse_plan(PLAN.encode(), "a.toml"))
    assert '\n  kind = "coverage"\n' in written
    assert '\n  near_diameter = "7.05 mm +- 0.05 mm"\n' in written
    assert (
        '\n  limit = { source = "builder\'s own", at_least = "0.03 mm", at_most = "0.12 mm" }\n'
        in written
    )


@given(
    figures=st.integers(-(10**9), 10**9).filter(bool),
    places=st.integers(0, 9),
    unit=st.sampled_from(["mm", "um", "cm", "in"]),
)
def test_every_decimal_limit_reads_back(figures: int, places: int, unit: str) -> None:
    bound = Quantity(float(Fraction(figures, 10**places)), unit)
    check = Characteristic(
        id="d", kind="depth", question="?", unit="mm", datum="f", limit=Limit("x", at_least=bound)
    )
    assert parse_plan(write_plan(with_check(check)).encode(), "a").locations[0] == Location(
        "A", "a", (check,)
    )


@pytest.mark.parametrize(
    "typed",
    ["7.05 mm +- 0.05 mm", "7.05 mm", "0.317 in", "0.317 in +- 0.002 in", "17/32 in", "1 3/8 in",
     "8.05 mm +- 0.002 in", "2.5 thou", "63.5 um", "3 in", "1/3 in"],
)  # fmt: skip
def test_what_is_known_of_a_hole_reads_back_with_its_doubt(typed: str) -> None:
    plan = parse_plan(PLAN.replace("7.05 mm +- 0.05 mm", typed).encode(), "a")
    assert plan.characteristic("C1.covered")[1].near_diameter.u > 0
    assert parse_plan(write_plan(plan).encode(), "b") == plan


@given(words=st.text(min_size=1).filter(lambda text: text.strip() and "\r" not in text))
def test_any_words_read_back(words: str) -> None:
    plan = with_check(Characteristic(id="d", kind="yes-no", question=words, unit="1"))
    assert parse_plan(write_plan(plan).encode(), "a") == plan


def test_a_plan_that_no_file_can_say_is_refused() -> None:
    bound = Quantity(1 / 3.7, "mm")
    check = Characteristic("d", "length", "?", "mm", limit=Limit("x", at_least=bound))
    with pytest.raises(BadPlanFile, match="too many figures"):
        write_plan(with_check(check))
    sampled = replace(check, limit=Limit("x", at_least=Quantity(1.0, "mm", u=0.5)))
    with pytest.raises(BadPlanFile, match="can't say all"):
        write_plan(with_check(sampled))
