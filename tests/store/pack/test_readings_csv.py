"""readings.csv: every value once, in columns that are told, and nothing a spreadsheet would run."""

import csv
import io
from pathlib import Path

import msgspec
import pytest

from store import acts
from store.book import Book
from store.pack.readings_csv import COLUMNS, _safe, columns_text, readings_csv
from store.round import Round
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
    assert list(table[0]) == [name for name, _ in COLUMNS]
    for name in table[0]:
        assert f"  {name:<10}" in columns_text()


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


def test_lines_end_as_rfc_4180_asks_and_text_is_quoted(book: Book) -> None:
    typed = msgspec.structs.replace(reading("P3.bore", 20.0), text='20,"about"\n mm')
    acts.record_reading(book, typed, **WHO)
    text = readings_csv(book.round())
    assert text.count("\r\n") == len(rows(book.round())) + 1
    assert '"20,""about""\n mm"' in text


@pytest.mark.parametrize("text", ["=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0", "-2+3", "\t=1", "\r=1"])
def test_what_a_spreadsheet_would_run_has_a_mark_before_it(text: str) -> None:
    assert _safe(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "20.1 mm", "-0.3", "+5", "1 3/8 in", "yes", "'quoted'"])
def test_anything_else_stays_as_it_was_typed(text: str) -> None:
    assert _safe(text) == text
