"""Whatever stands in a plan file or a spreadsheet: a plan, or one sentence of what is wrong."""

import copy
import tomllib
from collections.abc import Callable
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from capture.errors import BadPlanFile
from capture.plans.reader import parse_plan
from capture.plans.sheet import parse_csv
from capture.plans.sheet_writer import write_csv
from capture.plans.writer import inline, write_plan
from store.plan import Plan
from tests.capture.full_plan import FULL

DOCUMENT = tomllib.loads(FULL)
PLAN = parse_plan(FULL.encode(), "full.toml")
CELLS = [line.split(",") for line in write_csv(PLAN).split("\r\n")]
ODD: list[Any] = [
    "", "x", "mm", "1 mm", "-1 mm", "0 mm", "1e400 mm", "45 N.m", "yes", True, 1, -1, 10**30, 1.5,
    float("inf"), [], ["a"], [1], {}, {"a": 1}, [{}], [{"id": "x"}], "{n}", "{main}", "A.b",
    "M1.bore", "M1.bore - M2.bore", "1/0", "sqrt(M1.bore)", "taper(M1.bore", "9" * 60, "FLUSH",
    "0.1 mm PROUD", "5 %", "1 count", "max 3 mm", "1-2 mm (3 in)", "main", "\u2028", "'=1", "a | b",
]  # fmt: skip


def places(value: Any, above: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the way to everything in a document."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    found = []
    for key, inner in pairs:
        found.append((*above, key))
        if isinstance(inner, dict | list):
            found += places(inner, (*above, key))
    return found


def changed(place: tuple[Any, ...], odd: Any, *, gone: bool) -> str:
    """Return the full plan's file with one thing in it gone, or another."""
    document = copy.deepcopy(DOCUMENT)
    within = document
    for key in place[:-1]:
        within = within[key]
    if gone:
        del within[place[-1]]
    else:
        within[place[-1]] = odd
    return "\n".join(f"{key} = {inline(value)}" for key, value in document.items())


def read_or_told(parse: Callable[[], Plan]) -> Plan | str:
    try:
        return parse()
    except BadPlanFile as refused:
        return str(refused)


def is_one_sentence(told: str, name: str) -> bool:
    return told.startswith(name) and "\n" not in told


@given(place=st.sampled_from(places(DOCUMENT)), odd=st.sampled_from(ODD), gone=st.booleans())
def test_a_plan_with_one_odd_thing_is_read_or_refused(place, odd, gone) -> None:
    text = changed(place, odd, gone=gone)
    found = read_or_told(lambda: parse_plan(text.encode(), "odd.toml"))
    if isinstance(found, str):
        assert is_one_sentence(found, "odd.toml")
    else:
        assert parse_plan(write_plan(found).encode(), "again.toml") == found


@given(data=st.data(), odd=st.sampled_from([str(each) for each in ODD]))
def test_a_sheet_with_one_odd_cell_is_read_or_refused(data: st.DataObject, odd: str) -> None:
    row = data.draw(st.sampled_from(range(len(CELLS))))
    column = data.draw(st.sampled_from(range(len(CELLS[row]))))
    cells = copy.deepcopy(CELLS)
    cells[row][column] = odd.replace(",", "|")
    raw = "\r\n".join(map(",".join, cells)).encode()
    found = read_or_told(lambda: parse_csv(raw, "odd.csv", PLAN.job))
    assert isinstance(found, Plan) or is_one_sentence(found, "odd.csv")


@given(raw=st.binary(max_size=300))
def test_any_bytes_are_refused(raw: bytes) -> None:
    as_toml = read_or_told(lambda: parse_plan(raw, "odd.toml"))
    as_csv = read_or_told(lambda: parse_csv(raw, "odd.csv", PLAN.job))
    assert isinstance(as_toml, str)
    assert as_toml.startswith("odd.toml")
    assert isinstance(as_csv, str)
    assert as_csv.startswith("odd.csv")
