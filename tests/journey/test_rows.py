"""Each row from bare block to closed short block: planned, read, computed, judged and reported.

What is expected is worked out outside the program (tests/journey/rows/independent.py), from the
readings as they are typed. Each bench is one real book; at the end it verifies.
"""

import re
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from capture.journey import Journey
from capture.plans.combination import combine
from capture.plans.fragment import read_library
from capture.plans.reader import parse_plan
from capture.plans.writer import write_plan
from capture.verifying import verify_book
from store.evidence import Read
from store.finding import Finding
from store.report.document import report_data
from store.round import Check, Round
from tests.capture.plan_rows import ROWS
from tests.journey.rows import BENCHES
from tests.journey.rows.case import Bench, Case, Wanted, registered

AT = "2026-11-24T12:00:00+00:00"
# how a unit is spelled on paper, where that is not how it is typed
UNIT_OF = {"N·m": "N.m", "lbf·ft": "lbf.ft", "lbf·in": "lbf.in", "°": "deg", "turns": "turn"}
ALL = [
    pytest.param(bench, case, wanted, id=f"{wanted.key}: {case.what}")
    for bench in BENCHES
    for case in bench.cases
    for wanted in case.wanted
]


class Played(NamedTuple):
    root: Path
    known: Round
    pages: dict[str, Any]
    findings: list[Finding]


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Played]:
    """Return what has been worked so far, by bench: each is worked once."""
    return {}


def played(bench: Bench, books: dict[str, Played], factory: pytest.TempPathFactory) -> Played:
    if bench.name not in books:
        books[bench.name] = work(bench, factory.mktemp(bench.name) / "book")
    return books[bench.name]


def work(bench: Bench, root: Path) -> Played:
    """Do everything that the bench's cases do, in one book, and close it."""
    combined = combine(bench.job, [read_library(name) for name in bench.plans], each=bench.each)
    plan = parse_plan(bench.edit(write_plan(combined)).encode(), "plan.toml")
    with Journey.start(
        plan, root, bench="bench-1", clock=lambda: AT, user="Ann", version="1"
    ) as journey:
        for tool in bench.gauges:
            registered(tool)(journey)
        for case in bench.cases:
            for act in case.acts:
                act(journey)
        pages, _ = report_data(journey.book, at=AT, version="1")
        known = journey.round()
    return Played(root, known, pages, verify_book(root, version="1"))


@pytest.mark.parametrize(("bench", "case", "wanted"), ALL)
def test_a_row_is_read_computed_judged_and_reported(
    bench: Bench,
    case: Case,
    wanted: Wanted,
    books: dict[str, Played],
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    there = played(bench, books, tmp_path_factory)
    check = there.known.check(wanted.key)
    assert check.state == wanted.state
    row = report_of(there.pages, wanted.key)
    lead = plain(row["lead"])
    assert wanted.state in lead or wanted.state == "no limit"
    assert check.current is not None
    if wanted.number is not None:
        hold_to(wanted, check)
    if wanted.truth is not None:
        hold_to_truth(wanted.truth, check)
    if check.value is not None:
        hold_to_print(check, lead)
    if wanted.band:
        assert check.current.band is not None
        assert check.current.band.name == wanted.band
        assert re.search(rf"By the table: +{re.escape(wanted.band)}", plain(row["sentences"]))


def hold_to(wanted: Wanted, check: Check) -> None:
    """Hold a value and its uncertainty to what was worked out outside."""
    assert wanted.number is not None
    assert check.value is not None
    value, u, close = wanted.number
    if check.characteristic.kind == "agreement":
        assert check.value.value == pytest.approx(value, rel=close)
        return
    found = check.value.to(wanted.unit)
    # The value is plain arithmetic: only dust, or (of a difference) what is left of large sizes.
    assert found.value == pytest.approx(value, rel=1e-9, abs=max(1e-12, 1e-6 * u))
    assert found.u == pytest.approx(u, rel=close)


def hold_to_truth(truth: float, check: Check) -> None:
    """Hold the interval of what is seen on a picture to its known answer, and to be of use."""
    assert check.value is not None
    low, high = check.value.interval()
    assert low <= truth <= high
    assert high - low < 0.35


def hold_to_print(check: Check, said: str) -> None:
    """Hold the report to the value, rounded where it ends, and no coarser than it is known."""
    assert check.value is not None
    if check.characteristic.kind == "agreement":
        assert f"En {check.value.value:.2f}" in said
        return
    numbers = re.findall(r"(-?\d+(?:\.(\d+))?) ?([^\s,;:()]*)", said)
    if check.characteristic.kind == "pin":
        assert check.current is not None
        assert isinstance(check.current.record, Read)
        assert check.current.record.text in said  # both pins, as they were typed
        return
    bare = check.value.unit if check.value.unit in {"count", "1"} else ""
    printed = [(float(n), len(d), UNIT_OF.get(u, u) or bare) for n, d, u in numbers]
    assert any(is_rounded(check.value, *one) for one in printed), said


def is_rounded(value: Quantity, number: float, decimals: int, unit: str) -> bool:
    try:
        there = value.to(unit)
    except UnitMismatch:
        return False
    last = 10.0**-decimals
    near = abs(abs(there.value) - abs(number)) <= last / 2 * (1 + 1e-9)
    return near and (last <= there.u if there.u else there.value == number)


def report_of(pages: dict[str, Any], key: str) -> dict[str, Any]:
    """Return a check's row in the report, or its line in the table of those that need no row."""
    (place,) = [p for p in pages["places"] if p["code"] == key.partition(".")[0]]
    lines = [
        {"lead": line[1:], "sentences": []}
        for row in place["checks"]
        if row["name"] in {"Found", "Answered in words"}
        for line in row["readings"]["rows"]
        if key in plain(line[0]).split()
    ]
    rows = [row for row in place["checks"] if f"Check {key}." in plain(row["aside"])]
    (row,) = [*lines, *rows]
    if len(place["checks"]) == 1 and not row["lead"]:
        return {**row, "lead": place["lead"]}  # a lone check's verdict stands on top of its page
    return row


def plain(data: Any) -> str:
    """Return the words of a part of the report in their order, with plain blanks and minus."""
    words = " ".join(words_of(data)).replace("\N{ZERO WIDTH SPACE}", "")
    return words.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def words_of(data: Any) -> list[str]:
    match data:
        case str():
            return [data]
        case dict():
            return [word for each in data.values() for word in words_of(each)]
        case list():
            return [word for each in data for word in words_of(each)]
    return []


@pytest.mark.parametrize("bench", BENCHES, ids=lambda bench: bench.name)
def test_the_book_of_a_bench_verifies(
    bench: Bench, books: dict[str, Played], tmp_path_factory: pytest.TempPathFactory
) -> None:
    found = played(bench, books, tmp_path_factory).findings
    assert [finding for finding in found if finding.severity != "note"] == []


def test_every_row_of_the_trade_has_a_case() -> None:
    told = {case.row for bench in BENCHES for case in bench.cases}
    assert told == {row.what for row in ROWS}


def test_every_check_that_shows_a_row_is_held_to_something() -> None:
    """For each check of plan_rows there is a case of its kind, at whatever number of location."""

    def kind(key: str) -> str:
        location, _, check = key.partition(".")
        return f"{re.sub(r'[0-9]+', '#', location)}.{re.sub('-[12]$', '', check)}"

    held = {kind(wanted.key) for bench in BENCHES for case in bench.cases for wanted in case.wanted}
    shown = {kind(key) for row in ROWS for key in row.checks}
    assert shown - held == set()
