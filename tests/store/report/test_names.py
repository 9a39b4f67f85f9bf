"""Page 1 speaks in the plan's names, not in ids."""

from pathlib import Path

import pytest

from store.book import Book
from store.plan import Job, Location, Plan
from store.report.document import report_data
from store.report.names import plugs_named, with_names
from tests.store.report.report_job import AT, Bench, filled


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return filled(tmp_path_factory.mktemp("job") / "book")


def test_keys_in_a_clause_become_names_and_other_words_stay(book: Book) -> None:
    known = book.round()
    clause = "waits for J2.bush and J2.size, by sheet.4"
    assert with_names(clause, known) == (
        "waits for Intermediate journal, bush and Intermediate journal, size, by sheet.4"
    )
    here = known.check("J2.room").location
    assert with_names(clause, known, here) == "waits for bush and size, by sheet.4"


def test_a_count_that_names_no_plug_stays_as_it_is(book: Book) -> None:
    sentence = "Core plugs: 3 fitted of 2 counted"
    assert plugs_named(sentence, book.round()) == sentence


def test_plugs_that_are_not_counted_are_told_by_name(tmp_path: Path) -> None:
    job = Job("1", "Ostrel three", "W. Harrowgate", "Tarnside Bench")
    plugs = (Location("K1", "Core plug, left", plug=True), Location("K2", "", plug=True))
    with Bench(tmp_path / "book", Plan(job, plugs)).book as book:
        data, _ = report_data(book, at=AT, version="0.1.0")
    assert data["cover"]["counts-open"] == [
        "Plugs neither counted out nor in: Core plug, left; K2."
    ]


def test_no_check_is_told_by_its_key_on_page_1(book: Book) -> None:
    known = book.round()
    data, _ = report_data(book, at=AT, version="0.1.0")
    said = str(data["cover"])
    assert not [check.key for check in known.checks if check.key in said]
    bars = [part["name"] for part in data["cover"]["string"] if "name" in part]
    assert [bar.rpartition(": ")[0] for bar in bars] == ["A Camshaft", "B Front plate", "C Sump"]
