"""Papers: a machine shop's sheet or a manual's page, kept as it came and checked like a photo."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book, Kept
from store.codec import Entry
from store.errors import BadRecord, CannotWrite
from store.evidence import PaperKept
from store.verify import verify
from store.written import acts
from tests.store.bench_job import begin
from tests.store.small_job import WHO

SHEET = b"%PDF-1.7 the machine shop's sheet"


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with begin(tmp_path / "book") as the_book:
        yield the_book


def keep_paper(book: Book, content: bytes = SHEET) -> Entry:
    def describe(kept: Kept) -> PaperKept:
        return PaperKept(
            paper=kept.photo, suffix="pdf", bytes_count=kept.bytes_count, file_name="sheet.pdf",
            what="the machine shop's sheet", location="J1", keys=("J1.size",),
        )  # fmt: skip

    return book.add_paper(io.BytesIO(content), "pdf", describe, **WHO)


def codes(book: Book) -> list[str]:
    return [finding.code for finding in verify(book.root)]


def test_a_paper_is_kept_byte_for_byte_under_its_own_hash_and_told(book: Book) -> None:
    record = keep_paper(book).evidence
    assert isinstance(record, PaperKept)
    assert book.paper_path(record.paper).read_bytes() == SHEET
    assert book.paper_path(record.paper).parent.name != "photos"
    (told,) = book.round().papers
    assert told.record == record
    assert codes(book) == []
    assert book.warnings == ()


def test_a_paper_struck_stays_in_the_book_and_is_told_as_struck(book: Book) -> None:
    entry = keep_paper(book)
    acts.strike(book, entry.hash, "that is another engine's", **WHO)
    (told,) = book.round().papers
    assert told.struck is not None
    assert told.struck.reason == "that is another engine's"
    assert codes(book) == []


def test_a_paper_that_was_changed_is_found(book: Book) -> None:
    path = book.paper_path(keep_paper(book).evidence.paper)  # type: ignore[union-attr] # a paper
    path.chmod(0o644)
    path.write_bytes(SHEET.replace(b"sheet", b"sheaf"))
    assert codes(book) == ["paper-altered"]


def test_a_paper_that_is_gone_is_found_and_told_when_the_book_is_opened(book: Book) -> None:
    book.paper_path(keep_paper(book).evidence.paper).unlink()  # type: ignore[union-attr] # a paper
    assert codes(book) == ["paper-missing"]
    with Book.open(book.root, read_only=True) as again:
        assert any("papers is missing" in warning for warning in again.warnings)


def test_a_paper_that_no_entry_names_is_a_note(book: Book) -> None:
    book.keep_paper(io.BytesIO(b"left over"), "pdf")
    (found,) = verify(book.root)
    assert (found.severity, found.code) == ("note", "paper-unfiled")


def test_a_paper_in_the_photos_folder_does_not_do(book: Book) -> None:
    path = book.paper_path(keep_paper(book).evidence.paper)  # type: ignore[union-attr] # a paper
    shelf = book.root / "photos" / path.parent.name
    shelf.mkdir(parents=True, exist_ok=True)
    path.rename(shelf / path.name)
    assert "paper-missing" in codes(book)


def test_the_record_must_name_the_file_that_was_kept(book: Book) -> None:
    wrong = PaperKept("ab" * 32, "pdf", 5, "a.pdf", "a sheet")
    with pytest.raises(BadRecord, match="must name the file kept"):
        book.add_paper(io.BytesIO(SHEET), "pdf", lambda _: wrong, **WHO)
    assert len(book.entries()) == 1
    with Book.open(book.root, read_only=True) as reader, pytest.raises(CannotWrite):
        keep_paper(reader)
