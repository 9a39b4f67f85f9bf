"""Another program writes to the same book between two looks of this one: what is told stays true.

Each test lets it write at the very moment that matters, once; nothing waits for it by chance.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from store import verify as verifying
from store.book import Book
from store.copies import merge
from store.copies.copying import copy_book
from store.errors import Busy, PhotoMissing
from store.evidence import MapPlaced
from store.ledger import Ledger, Writer
from store.pack import packing, vouching
from store.pack.inspection import verify_pack
from store.pack.job_closed import keep_closing
from store.pack.signing_key import read_key
from store.photos import PhotoVault, VaultFile
from store.written import acts, bench_acts
from tests.store import small_job
from tests.store.pack.packed import keep_paper, make_key, packed, small_book
from tests.store.small_job import WHO, answer, file_photo, new_book, reading
from tests.store.two_benches import parted, take_in, wrong

Write = Callable[[Book], object]


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with new_book(tmp_path / "book") as the_book:
        yield the_book


def elsewhere(book: Book, write: Write, *, bench: str = "") -> None:
    """Write to the book as another program does."""
    with Book.open(book.root, bench=bench) as other:
        write(other)


def bore(value: float) -> Write:
    return lambda other: acts.record_reading(other, reading("P3.bore", value), **WHO)


def once_before(
    monkeypatch: pytest.MonkeyPatch, where: object, name: str, write: Callable[[], object]
) -> list[int]:
    """Let the other program write right before the first call of something."""
    real, done = getattr(where, name), []

    def late(*given: Any, **more: Any) -> Any:
        if not done:
            done.append(1)
            write()
        return real(*given, **more)

    monkeypatch.setattr(where, name, late)
    return done


def once_before_the_lock(monkeypatch: pytest.MonkeyPatch, write: Callable[[], object]) -> list[int]:
    """Let the other program write right before this one has the book for itself."""
    real, done = Ledger.transaction, []

    @contextmanager
    def late(ledger: Ledger, bench: str) -> Iterator[Writer]:
        if not done:
            done.append(1)
            write()
        with real(ledger, bench) as writer:
            yield writer

    monkeypatch.setattr(Ledger, "transaction", late)
    return done


def test_a_book_held_still_shows_one_moment_and_then_that_of_its_own_act(book: Book) -> None:
    with book.still():
        elsewhere(book, bore(20.0))
        assert (len(book.entries()), book.round().check("P3.bore").current) == (1, None)
        acts.record_reading(book, answer("P3.clean", said=True), **WHO)
        seen = book.entries()
        assert [entry.kind for entry in seen] == ["job started", "reading", "reading"]
        elsewhere(book, bore(21.0))
        assert book.entries() == seen
        assert len(book.round().check("P3.bore").attempts) == 1
    assert len(book.entries()) == len(seen) + 1
    assert len(book.round().check("P3.bore").attempts) == 2


def test_an_act_that_fails_while_a_book_is_held_still_leaves_it_there(book: Book) -> None:
    with book.still():
        elsewhere(book, bore(20.0))
        with pytest.raises(RuntimeError, match="3 entries"):
            fail(book)
        assert len(book.entries()) == 1
        assert book.round().check("P3.bore").current is None
        acts.record_reading(book, answer("P3.clean", said=True), **WHO)
        assert len(book.entries()) == 3
    assert wrong(book) == []


def fail(book: Book) -> None:
    with book.act(**WHO) as act:
        act.append(answer("P3.clean", said=True))
        raise RuntimeError(f"{act.told.now} entries")


def test_a_block_within_a_block_begins_at_what_is_there_then(book: Book) -> None:
    with book.still():
        elsewhere(book, bore(20.0))
        with book.still():
            assert len(book.entries()) == 2
        elsewhere(book, bore(20.1))
        assert len(book.entries()) == 2
    assert len(book.entries()) == 3


def test_what_stood_before_an_act_has_what_came_before_it(book: Book) -> None:
    known = book.round()
    elsewhere(book, bore(20.0))
    entry = book.append(reading("P3.plug", 20.1), **WHO)
    before = book.round_before(entry, known)
    assert before.check("P3.bore").current is not None
    assert before.check("P3.plug").current is None
    assert book.round_before(entry, before) is before


@pytest.mark.parametrize("folder", ["photos", "papers"])
def test_a_file_that_another_files_now_is_not_missing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, folder: str
) -> None:
    """While the folder is looked through: behind the place where that file would stand."""
    with small_book(tmp_path / "book") as book:
        real, done = PhotoVault.files, []

        def files(vault: PhotoVault) -> Iterator[VaultFile]:
            yield from tuple(real(vault))
            if vault.folder.name == folder and not done:
                done.append(1)
                elsewhere(book, small_files)

        monkeypatch.setattr(PhotoVault, "files", files)
        missing = book.missing_photos if folder == "photos" else book.missing_papers
        assert missing() == ()
        assert done
        assert missing() == ()


def small_files(book: Book) -> None:
    file_photo(book, "P3", content=b"filed meanwhile")
    keep_paper(book, b"kept meanwhile")


@pytest.mark.parametrize("check", ["verify", "check_kept"])
def test_an_entry_that_is_kept_while_a_book_is_verified_is_not_called_gone(
    book: Book, monkeypatch: pytest.MonkeyPatch, check: str
) -> None:
    elsewhere(book, bore(20.0))
    done = once_before(monkeypatch, verifying, "check_lines", lambda: elsewhere(book, bore(20.1)))
    found = (
        verifying.verify(book.root, measure=small_job.measure)
        if check == "verify"
        else verifying.check_kept(book.root)
    )
    assert (found, done) == ([], [1])
    assert len(book.entries()) == 3


def test_a_line_that_contradicts_and_is_written_during_a_merge_breaks_no_chain(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was new when the two were compared is not so any more: it must be compared again."""
    north, south = parted(tmp_path)
    with north, south:
        copy_book(south, tmp_path / "again", **WHO)
        bore(20.2)(south)
        done = once_before(
            monkeypatch, merge, "_take", lambda: elsewhere(north, bore(20.3), bench="south")
        )
        with pytest.raises(Busy, match="written to this book meanwhile: do it again"):
            take_in(north, south)
        assert done
        assert north.is_in_chain
        assert wrong(north) == []
        assert take_in(north, south).fork is not None
        assert wrong(north) == []


def test_what_another_writes_right_after_a_merge_is_not_told_as_come_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    north, south = parted(tmp_path)
    with north, south:
        acts.record_reading(south, answer("P3.clean", said=True), **WHO)
        wanted = once_before(
            monkeypatch, merge, "_known_there", lambda: elsewhere(north, bore(20.3))
        )
        done = take_in(north, south)
        assert wanted
        assert [each.key for each in done.handed] == ["P3.clean"]
        assert (done.settled, done.after.entries) == (0, len(north.entries()) - 1)


def test_a_place_on_a_photo_that_is_struck_meanwhile_is_refused(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = file_photo(book, "P3", "overall")
    filing = book.entries()[-1].hash
    done = once_before_the_lock(
        monkeypatch,
        lambda: elsewhere(book, lambda other: acts.strike(other, filing, "another engine", **WHO)),
    )
    with pytest.raises(PhotoMissing, match="not filed as an overall photo"):
        bench_acts.place_on_map(book, MapPlaced("P3", photo, 10.0, 10.0), **WHO)
    assert done
    assert [entry.kind for entry in book.entries()][-1] == "struck"


def written_and_kept(book: Book, key: Path) -> None:
    """Write to the book and keep a checkpoint of it, as another program that makes a pack."""
    elsewhere(book, bore(23.9))
    keep_closing(book.root, read_key(key))


def test_a_checkpoint_that_is_kept_while_a_book_is_verified_is_no_fork(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    key = make_key(tmp_path)
    with small_book(tmp_path / "book") as book:
        keep_closing(book.root, read_key(key))
        done = once_before(
            monkeypatch, vouching, "kept_checkpoints", lambda: written_and_kept(book, key)
        )
        assert vouching.check_book_checkpoints(book.root) == []
        assert done
        assert vouching.check_book_checkpoints(book.root) == []


@pytest.mark.parametrize("name", ["_reports", "_payload"])
def test_a_checkpoint_that_is_kept_while_a_pack_is_made_is_of_the_next_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    key = make_key(tmp_path)
    with small_book(tmp_path / "book") as book:
        packed(book, tmp_path / "first", key)
        done = once_before(monkeypatch, packing, name, lambda: written_and_kept(book, key))
        second = packed(book, tmp_path / "second", key)
        assert done
        third = packed(book, tmp_path / "third", key)
        for pack, older in ((second, 0), (third, 1)):
            findings = verify_pack(pack, measure=small_job.measure)
            assert [f for f in findings if f.severity != "note"] == []
            kept = [p for p in (pack / "data/chains/north/older").glob("*") if p.suffix != ".sig"]
            assert len(kept) == older


@pytest.mark.parametrize("name", ["write_report", "write_page", "_payload", "_hash"])
def test_a_pack_is_of_one_moment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    key = make_key(tmp_path)
    with small_book(tmp_path / "book") as book:
        done = once_before(monkeypatch, packing, name, lambda: elsewhere(book, bore(23.9)))
        count = len(book.entries())
        pack = packed(book, tmp_path / "out", key)
        assert done
        assert len(book.entries()) > count
    findings = verify_pack(pack, measure=small_job.measure)
    assert [f for f in findings if f.severity != "note"] == []
    assert "23.9" not in (pack / "data" / "report.html").read_text("utf-8")
