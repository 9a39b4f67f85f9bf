"""Programs that write at once, and programs that are killed while they write."""

import random
import time
from pathlib import Path

import pytest

from store.book import Book
from store.codec import decode
from store.evidence import PhotoTaken
from store.verify import verify
from tests.faults import writers
from tests.faults.test_write_faults import wrong
from tests.store import small_job
from tests.store.forgery import lines_of
from tests.store.small_job import new_book


@pytest.mark.parametrize("benches", [("north", "south"), ("north", "north")])
def test_two_programs_writing_at_once_lose_nothing(
    tmp_path: Path, benches: tuple[str, str]
) -> None:
    root, count = tmp_path / "book", 25
    new_book(root).close()
    said = [tmp_path / "one", tmp_path / "two"]
    running = [
        writers.PROCESSES.Process(target=writers.write_readings, args=(root, bench, count, path))
        for bench, path in zip(benches, said, strict=True)
    ]
    for process in running:
        process.start()
    for process in running:
        process.join(120)
        assert process.exitcode == 0
    entries = [decode(line) for line in lines_of(root)]
    kept = {line for path in said for line in path.read_text().splitlines()}
    assert len(kept) == 2 * count
    assert kept <= {entry.hash for entry in entries}
    assert len(entries) == 1 + 2 * count
    for bench in set(benches):
        seqs = [entry.seq for entry in entries if entry.bench == bench]
        assert seqs == list(range(1, len(seqs) + 1))
    assert wrong(root) == []


def lines(path: Path) -> int:
    return path.read_bytes().count(b"\n") if path.exists() else 0


def test_a_program_killed_at_any_moment_has_lost_nothing_it_acknowledged(tmp_path: Path) -> None:
    root, moments = tmp_path / "book", random.Random(20260302)  # noqa: S311 - moments, no secrets
    new_book(root).close()
    kept: set[str] = set()
    for run in range(25):
        acknowledged = tmp_path / f"said{run}"
        process = writers.PROCESSES.Process(
            target=writers.write_until_killed, args=(root, acknowledged, run)
        )
        process.start()
        wanted = moments.randrange(6)
        while lines(acknowledged) <= wanted:
            assert process.is_alive()
            time.sleep(0.001)
        time.sleep(moments.uniform(0.0, 0.03))
        process.kill()
        process.join(60)
        assert process.exitcode == -9
        kept |= set(acknowledged.read_text().split()) - {"ready"}
        if run % 5 == 0:
            assert wrong(root) == []  # as it was left, before anything opens it for writing
    with Book.open(root) as book:
        photos = {e.evidence.photo for e in book.entries() if isinstance(e.evidence, PhotoTaken)}
        assert kept <= photos | {entry.hash for entry in book.entries()}
        assert book.missing_photos() == ()
    assert len(kept) > 25
    assert wrong(root) == []
    assert not list((root / "photos").glob("incoming-*"))


def heads_missing(root: Path) -> bool:
    return "heads-missing" in {found.code for found in verify(root, measure=small_job.measure)}


@pytest.mark.parametrize("is_there", [True, False])
def test_a_book_whose_start_was_killed_before_its_head_is_sound_when_opened(
    tmp_path: Path, is_there: bool
) -> None:
    root = tmp_path / "book"
    new_book(root).close()
    heads = root / "heads.txt"
    whole = heads.read_text()
    heads.write_text("")
    if not is_there:
        heads.unlink()
    # One entry and no list is a book just begun: that is noted, and is no damage.
    assert wrong(root) == []
    assert heads_missing(root)
    Book.open(root).close()
    assert heads.read_text() == whole
    assert not heads_missing(root)
    assert wrong(root) == []
