"""Copying a book: a moment of it, whole and verified, beside whatever else is going on."""

import errno
import re
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest

from store.book import Book
from store.copies.copying import copy_book
from store.errors import BadAct, BadRecord, CannotRead, CannotWrite, Damaged, PhotoAltered
from store.evidence import Merged
from store.files.whose import BENCH_NAME, note_bench, own_bench
from store.written import acts
from tests.store.pack.packed import make_key, packed, small_book
from tests.store.small_job import WHO, file_photo, reading
from tests.store.two_benches import parted, take_in, tree, wrong


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with small_book(tmp_path / "book") as made:
        yield made


def test_a_copy_is_the_book_file_for_file(tmp_path: Path, book: Book) -> None:
    packed(book, tmp_path / "pack.zip", make_key(tmp_path))  # leaves a checkpoint
    steps: list[int] = []
    done = copy_book(
        book, tmp_path / "copy", progress=lambda n, of, _: steps.append(100 * n // of), **WHO
    )
    there, here = tree(tmp_path / "copy"), tree(book.root)
    assert {n: b for n, b in there.items() if n != "ledger.db"} == {
        n: b for n, b in here.items() if n != "ledger.db"
    }
    with Book.open(tmp_path / "copy") as copy:
        assert [e.line for e in copy.entries()] == [e.line for e in book.entries()]
        assert copy.bench == book.bench == "north"
        assert wrong(copy) == []
    assert (done.entries, done.files, done.missing) == (len(book.entries()), 3, ())
    assert steps == sorted(steps)
    assert steps[-1] == 100


def test_an_older_copy_gets_only_what_is_new(tmp_path: Path, book: Book) -> None:
    copy_book(book, tmp_path / "copy", **WHO)
    assert copy_book(book, tmp_path / "copy", **WHO).entries == 0
    before = tree(tmp_path / "copy")
    photo = file_photo(book, "OH2", content=b"a second look")
    packed(book, tmp_path / "pack.zip", make_key(tmp_path))
    done = copy_book(book, tmp_path / "copy", **WHO)
    assert (done.entries, done.files) == (1, 1)
    after = tree(tmp_path / "copy")
    assert {n for n in before if before[n] != after[n]} == {"ledger.db", "heads.txt"}
    with Book.open(tmp_path / "copy") as copy:
        assert copy.photo_path(photo).read_bytes() == b"a second look"
        assert [e.line for e in copy.entries()] == [e.line for e in book.entries()]
        assert wrong(copy) == []


def test_a_copy_for_another_bench_begins_with_what_it_knew(tmp_path: Path) -> None:
    north, south = parted(tmp_path)
    with north, south:
        assert own_bench(south.root) == south.bench == "south"
        entry = south.entries()[-1]
        assert (entry.bench, entry.seq) == ("south", 1)
        assert isinstance(entry.evidence, Merged)
        assert [(h.bench, h.hash) for h in entry.evidence.heads] == [
            ("north", north.entries()[-1].hash)
        ]
        assert wrong(south) == []
        # the copy of a copy goes on as that does
        copy_book(south, tmp_path / "backup", **WHO)
        with Book.open(tmp_path / "backup") as backup:
            assert backup.bench == "south"


def test_a_bench_has_one_copy(tmp_path: Path) -> None:
    north, south = parted(tmp_path)
    with north, south:
        acts.record_reading(south, reading("P3.plug", 20.1), **WHO)
        take_in(north, south)
        for taken in ("north", "south"):
            with pytest.raises(BadAct, match="has a chain in this book already"):
                copy_book(north, tmp_path / "again", bench=taken, **WHO)
        with pytest.raises(BadRecord, match="bench name"):
            copy_book(north, tmp_path / "again", bench="South Bench", **WHO)
        assert not (tmp_path / "again").exists()


def test_nothing_is_overwritten_and_nothing_written_into_a_book(tmp_path: Path, book: Book) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("dear")
    before = tree(tmp_path)
    for target, why in (
        (tmp_path / "full", "there already"),
        (book.root / "copy", "inside the book"),
        (book.root / "photos" / "copy", "inside the book"),
        (tmp_path / "no" / "such", "no folder"),
        (book.root, "this book itself"),
    ):
        with pytest.raises(BadAct, match=why):
            copy_book(book, target, **WHO)
    assert tree(tmp_path) == before


def test_a_copy_that_has_gone_on_is_not_written_over(tmp_path: Path, book: Book) -> None:
    copy_book(book, tmp_path / "copy", **WHO)
    with Book.open(tmp_path / "copy") as copy:
        acts.record_reading(copy, reading("P3.plug", 20.2), **WHO)
    before = tree(tmp_path / "copy")
    for _ in range(2):
        with pytest.raises(BadAct, match="no older copy"):
            copy_book(book, tmp_path / "copy", **WHO)
        acts.record_reading(book, reading("P3.plug", 20.3), **WHO)
    assert tree(tmp_path / "copy") == before


def test_a_photo_that_was_changed_is_not_copied(tmp_path: Path, book: Book) -> None:
    copy_book(book, tmp_path / "old", **WHO)
    photo = next((book.root / "photos").rglob("*.jpg"))
    photo.chmod(0o644)
    photo.write_bytes(b"another picture")
    with pytest.raises(PhotoAltered, match="run benchproof verify"):
        copy_book(book, tmp_path / "copy", **WHO)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["book", "old"]
    assert copy_book(book, tmp_path / "old", **WHO).files == 0  # there it lies unchanged


def test_a_photo_that_is_gone_is_told_of(tmp_path: Path, book: Book) -> None:
    next((book.root / "photos").rglob("*.jpg")).unlink()
    done = copy_book(book, tmp_path / "copy", **WHO)
    assert [finding.code for finding in done.missing] == ["photo-missing"]


def test_a_ledger_that_was_altered_is_not_copied(tmp_path: Path, book: Book) -> None:
    heads = book.root / "heads.txt"
    heads.write_text(re.sub(r"(?m)^(north 1 )[0-9a-f]{8}", r"\g<1>00000000", heads.read_text()))
    with pytest.raises(Damaged, match="not sound"):
        copy_book(book, tmp_path / "copy", **WHO)
    assert not (tmp_path / "copy").exists()
    assert not list(tmp_path.glob(".*.part"))


def test_a_book_is_copied_while_it_is_written_to(tmp_path: Path, book: Book) -> None:
    stop = threading.Event()
    written: list[str] = []

    def write() -> None:
        with Book.open(book.root, busy_seconds=60.0) as other:
            while not stop.is_set():
                acts.record_reading(other, reading("P3.bore", 20.0), **WHO)
                file_photo(other, "P3", content=f"photo {len(written)}".encode())
                written.append(other.entries()[-1].hash)

    hand = threading.Thread(target=write)
    hand.start()
    try:
        for number in range(5):
            target = tmp_path / f"copy {number}"
            copy_book(book, target, **WHO)
            with Book.open(target) as copy:
                assert wrong(copy) == []
                lines = [e.line for e in copy.entries()]
            assert lines == [e.line for e in book.entries()][: len(lines)]
            assert wrong_after_update(book, target) == []
    finally:
        stop.set()
        hand.join(60)
    assert written


def wrong_after_update(book: Book, target: Path) -> list[object]:
    copy_book(book, target, **WHO)
    with Book.open(target) as copy:
        return list(wrong(copy))


def test_a_full_disk_leaves_no_half_copy(tmp_path: Path, book: Book) -> None:
    full = shutil._ntuple_diskusage(10**9, 10**9, 100)  # type: ignore[attr-defined] # its own type
    disk = mock.patch("shutil.disk_usage", return_value=full)
    with disk, pytest.raises(CannotWrite, match="make room"):
        copy_book(book, tmp_path / "copy", **WHO)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["book"]


def test_the_fork_beside_a_book_is_copied_too(tmp_path: Path) -> None:
    north, south = parted(tmp_path)
    with north, south:
        shutil.copytree(north.root, tmp_path / "copy")
        acts.record_reading(north, reading("P3.plug", 20.1), **WHO)
        with Book.open(tmp_path / "copy") as other:
            file_photo(other, "P3", content=b"there only")
            take_in(north, other)
        copy_book(north, tmp_path / "backup", **WHO)
        forks = [n for n in tree(north.root) if n.startswith("forks/")]
        assert len(forks) == 2
        there, here = tree(tmp_path / "backup"), tree(north.root)
        assert all(there[name] == here[name] for name in forks)
        with Book.open(tmp_path / "backup") as backup:
            assert wrong(backup) == []


def test_whose_copy_it_is_must_be_readable(tmp_path: Path, book: Book) -> None:
    assert own_bench(book.root) == ""
    note_bench(book.root, "south")
    assert own_bench(book.root) == "south"
    for bad in (b"South!\n", b"\xff\xfe", b""):
        (book.root / BENCH_NAME).write_bytes(bad)
        with pytest.raises(Damaged, match="can't be read as a bench's name"):
            Book.open(book.root)


def test_a_benchs_name_that_can_not_be_read_now_is_not_called_wrong(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    note_bench(book.root, "south")

    def fail(*_: object, **__: object) -> str:
        raise OSError(errno.EMFILE, "Too many open files")

    with monkeypatch.context() as broken:
        broken.setattr(Path, "read_text", fail)
        with pytest.raises(CannotRead, match="try again"):
            own_bench(book.root)
    assert own_bench(book.root) == "south"
