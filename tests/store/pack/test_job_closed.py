"""When the last hold point closes, a checkpoint is kept, and every later pack takes it along."""

from pathlib import Path

from store.book import Book
from store.evidence import OwnerSaid
from store.pack.checkpoint import kept_checkpoints, parse_checkpoint
from store.pack.inspection import verify_pack
from store.pack.job_closed import is_closed, keep_closing
from store.pack.signing_key import read_key
from store.pack.vouching import check_book_checkpoints
from store.written.bench_acts import close, reopen
from tests.store import small_job
from tests.store.forgery import redo
from tests.store.pack.packed import packed, small_book
from tests.store.small_job import WHO


def test_a_job_with_an_open_hold_point_has_none(book: Book, key: Path) -> None:
    before = kept_checkpoints(book.root, "north")
    assert not is_closed(book)
    assert kept_checkpoints(book.root, "north") == before


def test_a_closed_job_keeps_one_that_every_later_pack_takes_along(
    tmp_path: Path, key: Path
) -> None:
    with small_book(tmp_path / "book") as book:
        close(book, "lid", **WHO)
        assert is_closed(book)
        kept = keep_closing(book.root, read_key(key))
        (checkpoint,) = kept.checkpoints
        assert (checkpoint.entries, kept.fingerprint) == (
            len(book.entries()), read_key(key).public.fingerprint
        )  # fmt: skip
        book.append(OwnerSaid("told", "collected", "in person"), **WHO)
        pack = packed(book, tmp_path / "pack", key)
    (older,) = (p for p in (pack / "data/chains/north/older").iterdir() if p.suffix != ".sig")
    assert parse_checkpoint(older.read_bytes()) == checkpoint
    found = verify_pack(pack, measure=small_job.measure)
    assert {finding.severity for finding in found} == {"note"}


def test_what_was_rewritten_after_the_job_was_closed_is_found(tmp_path: Path, key: Path) -> None:
    root = tmp_path / "book"
    with small_book(root) as book:
        close(book, "lid", **WHO)
        keep_closing(book.root, read_key(key))
    assert check_book_checkpoints(root) == []
    redo(root, lambda e: OwnerSaid("told", "nothing", "") if e.kind == "owner said" else e.evidence)
    assert [f.code for f in check_book_checkpoints(root)] == ["chain-fork"]


def test_a_job_opened_and_closed_again_keeps_another(tmp_path: Path, key: Path) -> None:
    with small_book(tmp_path / "book") as book:
        close(book, "lid", **WHO)
        keep_closing(book.root, read_key(key))
        reopen(book, "lid", "forgot a washer", **WHO)
        assert not is_closed(book)
        close(book, "lid", **WHO)
        keep_closing(book.root, read_key(key))
        counts = [parse_checkpoint(e.text).entries for e in kept_checkpoints(book.root, "north")]
    assert counts == sorted(counts)
    assert len(counts) == 2
