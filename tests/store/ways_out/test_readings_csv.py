"""readings.csv: every value once, in columns that are told, and nothing a spreadsheet would run."""

import csv
import io
from math import isfinite
from pathlib import Path

import msgspec
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from store.round import Round
from store.ways_out.listing import READINGS
from store.ways_out.readings_csv import _safe, columns_text, readings_csv
from store.written import acts
from tests.store.pack.packed import small_book
from tests.store.small_job import WHO, reading


def rows(known: Round) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(readings_csv(known), newline=""), strict=True))


@pytest.fixture
def known(tmp_path: Path) -> Round:
    with small_book(tmp_path / "book") as book:
        return book.round()


def test_every_value_has_one_line_and_the_columns_are_those_told(known: Round) -> None:
    table = rows(known)
    values = [a for c in known.checks for a in (*c.attempts, *c.readings)]
    assert sorted(row["entry"] for row in table) == sorted(a.stamp.entry for a in values)
    assert list(table[0]) == [column.name for column in READINGS]
    for name in table[0]:
        assert f"  {name:<13}" in columns_text()


def test_a_struck_reading_is_there_with_its_reason(known: Round) -> None:
    struck, later = (row for row in rows(known) if row["key"] == "P3.plug")
    assert (struck["text"], struck["struck"]) == ("20.3 mm", "misread (R. Tamm)")
    assert (later["text"], later["struck"], later["value"], later["unit"]) == (
        "20.1 mm", "", "20.1", "mm",
    )  # fmt: skip


def test_the_interval_is_that_of_a_reading_rounded_to_half_a_step(known: Round) -> None:
    """JCGM 100:2008 4.3.7: u = a / sqrt 3; 1.959964 u either side is 95 % of a normal law."""
    (row,) = (row for row in rows(known) if row["key"] == "P3.bore")
    u = 0.0005 / 3**0.5
    assert float(row["u"]) == pytest.approx(u, rel=1e-8)
    assert float(row["low"]) == pytest.approx(20.0 - 1.959964 * u, abs=1e-7)
    assert float(row["high"]) == pytest.approx(20.0 + 1.959964 * u, abs=1e-7)


def test_a_judged_value_has_its_verdict_and_its_limit_with_the_source(known: Round) -> None:
    (row,) = (row for row in rows(known) if row["key"] == "P3.nip" and not row["void"])
    assert row["verdict"] == "within"
    assert row["limit"] == "at least 0.04 mm and at most 0.16 mm; builder's own"
    assert row["value"] == "0.1"
    (cover,) = (row for row in rows(known) if row["key"] == "OH2.cover")
    assert cover["limit"] == "covered at most 41 %; builder's own"


def test_depths_have_their_word(tmp_path: Path) -> None:
    with small_book(tmp_path / "book") as book:
        acts.record_reading(book, reading("OH2.other", -0.2, half_step=0.05), **WHO)
        sides = {row["key"]: (row["side"], row["value"]) for row in rows(book.round())}
    assert sides["OH2.deep"] == ("BELOW", "5.12")
    assert sides["OH2.other"] == ("PROUD", "-0.2")


def test_lines_end_as_rfc_4180_asks_and_text_is_quoted(tmp_path: Path) -> None:
    typed = msgspec.structs.replace(reading("P3.bore", 20.0), text='20,"about"\n mm')
    with small_book(tmp_path / "book") as book:
        acts.record_reading(book, typed, **WHO)
        known = book.round()
    text = readings_csv(known)
    assert text.count("\r\n") == len(rows(known)) + 1
    assert '"20,""about""\n mm"' in text


# What begins a formula: OWASP, "CSV Injection" (from memory); wide forms: Unicode FF0B to FF20.
@pytest.mark.parametrize(
    "text",
    ["=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0", "-2+3", "\t=1", "\r=1", "\n=1", "\uff1d1", "-1_0"],
)
def test_what_a_spreadsheet_would_run_has_a_mark_before_it(text: str) -> None:
    assert _safe(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "20.1 mm", "-0.3", "+5", "1 3/8 in", "yes", '1-3/8"'])
def test_anything_else_stays_as_it_was_typed(text: str) -> None:
    assert _safe(text) == text


@example("'=1+1")
@example("'")
@example("-1.5 mm")
@given(st.text())
def test_every_text_is_had_back_by_taking_one_mark_off(text: str) -> None:
    """As the policy tells, in the pack's page too."""
    assert _safe(text).removeprefix("'") == text


@given(st.text(min_size=1))
def test_no_cell_begins_as_a_formula_does(text: str) -> None:
    safe = _safe(text)
    if safe[0] in "=+-@\t\r\n":
        assert isfinite(float(safe))


def test_a_value_has_its_distribution_and_its_photo(known: Round) -> None:
    table = {(row["key"], row["text"]): row for row in rows(known)}
    bore, cover = table["P3.bore", "20.0 mm"], table["OH2.cover", ""]
    assert (bore["level"], bore["distribution"], bore["dof"]) == ("0.95", "normal", "")
    assert (bore["counts"], bore["photo"]) == ("yes", "")
    assert table["P3.plug", "20.3 mm"]["counts"] == "no"
    (photo,) = (p.taken.photo for place in known.places for p in place.photos_of("with scale"))
    assert cover["photo"] == photo
    assert (cover["at_least"], cover["at_most"], cover["unit"]) == ("", "0.41", "1")
    assert (cover["verdict"], cover["distribution"]) == ("within", "normal")
    assert float(cover["probability"]) == pytest.approx(1.0)
