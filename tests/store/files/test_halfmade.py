"""What is half made: held while it is made, taken away when its maker was killed, else left."""

import os
import tempfile
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from store.book import Book
from store.files.halfmade import Scratch, clear_left_of, held, passing_name, replace_file
from tests.faults.writers import PROCESSES
from tests.store.small_job import new_book


def make_and_wait(target: Path, line: "Connection[str, str]") -> None:
    """Begin a file and a folder, say so, and wait to be killed."""
    tempfile.tempdir = str(target.parent)
    with passing_name(target) as part:
        part.write_bytes(b"half")
        with held(part), Scratch("test") as scratch:
            (scratch / "page").write_bytes(b"half")
            line.send("made")
            line.recv()


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_a_killed_program_left_is_taken_away_and_not_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, theirs = PROCESSES.Pipe()
    child = PROCESSES.Process(target=make_and_wait, args=(tmp_path / "pack.zip", theirs))
    child.start()
    theirs.close()
    assert ours.recv() == "made"
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    made = names(tmp_path)
    assert len(made) == 2
    with Scratch("other") as scratch, passing_name(tmp_path / "pack.zip"):
        assert names(tmp_path) == sorted([*made, scratch.name])  # its maker lives
    child.kill()
    child.join(60)
    clear_left_of(tmp_path / "other.zip")
    assert names(tmp_path) == made  # another target's is none of its business
    with Scratch("other") as scratch, passing_name(tmp_path / "pack.zip") as part:
        assert names(tmp_path) == [scratch.name]
        assert not part.exists()
    assert names(tmp_path) == []


def test_nothing_is_taken_away_that_bears_another_name_or_is_a_link(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (tmp_path / "benchproof-details.txt").write_text("what went wrong")
    (tmp_path / "own").mkdir()
    (tmp_path / "benchproof-a-link").symlink_to(tmp_path / "own")
    (tmp_path / ".pack.zip.part").write_bytes(b"a person's")
    before = names(tmp_path)
    with Scratch("test"), passing_name(tmp_path / "pack.zip"):
        assert names(tmp_path)[: len(before)] != []
    assert names(tmp_path) == before


def test_a_file_is_replaced_whole_or_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "report.pdf"
    replace_file(path, b"first")
    replace_file(path, b"second")
    assert path.read_bytes() == b"second"

    def failing(_: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, "fsync", failing)
    with pytest.raises(OSError, match="No space"):
        replace_file(path, b"third")
    assert path.read_bytes() == b"second"
    assert names(tmp_path) == ["report.pdf"]


def test_a_book_opened_for_writing_clears_what_was_half_made_in_it(tmp_path: Path) -> None:
    new_book(tmp_path / "book").close()
    folder = tmp_path / "book" / "checkpoints" / "north"
    folder.mkdir(parents=True)
    (folder / ".000000002-aa-bb.0123456789ab.part").write_bytes(b"half")
    (folder / "000000001-aa-bb").write_bytes(b"whole")
    Book.open(tmp_path / "book", read_only=True).close()
    assert len(names(folder)) == 2
    Book.open(tmp_path / "book").close()
    assert names(folder) == ["000000001-aa-bb"]


def test_a_scratch_folder_is_gone_when_it_is_closed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    scratch = Scratch("desk")
    (scratch.path / "page-1.png").write_bytes(b"a page")
    assert scratch.path.name.startswith("benchproof-desk-")
    scratch.close()
    assert names(tmp_path) == []
