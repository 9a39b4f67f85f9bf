"""Links, pipes, and what lies beside a database."""

import os
import sqlite3
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import pytest

from store.errors import Damaged
from store.files.plain_folder import check_plain, not_plain
from tests.hostile.journals import deleting

NAME = "ledger.db"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "photos").mkdir()
    database = sqlite3.connect(tmp_path / NAME)
    database.execute("CREATE TABLE a (x)")
    database.close()
    return tmp_path


def link(root: Path) -> None:
    (root / "heads.txt").symlink_to("/etc/hostname")


def pipe(root: Path) -> None:
    os.mkfifo(root / "bench.txt")


def linked_folder(root: Path) -> None:
    (root / "papers").symlink_to(root / "photos")


def journal_that_deletes(root: Path) -> None:
    (root / f"{NAME}-journal").write_bytes(deleting(root / "photos", (root / NAME).read_bytes()))


def log(root: Path) -> None:
    (root / f"{NAME}-wal").touch()


def for_a_log(root: Path) -> None:
    database = sqlite3.connect(root / NAME)
    database.execute("PRAGMA journal_mode=WAL")
    database.close()


STRANGE: tuple[tuple[Callable[[Path], None], str], ...] = (
    (link, "heads.txt"), (pipe, "bench.txt"), (linked_folder, "papers"),
    (journal_that_deletes, "another file to be deleted"), (log, "write-ahead"),
    (for_a_log, "write-ahead"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("change", "words"), STRANGE, ids=lambda each: getattr(each, "__name__", "")
)
def test_a_folder_that_is_not_plain_is_refused(
    root: Path, change: Callable[[Path], None], words: str
) -> None:
    check_plain(root, NAME)
    change(root)
    with pytest.raises(Damaged, match=words) as refused:
        check_plain(root, NAME)
    assert "go back to a sound copy" in str(refused.value)


def test_what_goes_while_it_is_looked_at_is_nothing_strange(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Another program that writes signs in and out beside the ledger.
    (root / "writer.txt").touch()
    (root / "photos").rmdir()
    with os.scandir(root) as listed:
        entries = list(listed)
    (root / "writer.txt").unlink()
    for check in (lambda: check_plain(root, NAME), lambda: not_plain(root)):
        with monkeypatch.context() as patch:
            patch.setattr(os, "scandir", lambda _: nullcontext(entries))
            check()
    assert not_plain(root) == []


def test_the_journal_of_a_program_that_was_cut_off_is_plain(root: Path) -> None:
    database = sqlite3.connect(root / NAME, isolation_level=None)
    database.execute("PRAGMA cache_size=1")
    database.execute("BEGIN")
    database.executemany("INSERT INTO a VALUES (?)", [("x" * 3000,)] * 50)
    assert (root / f"{NAME}-journal").stat().st_size > 512
    check_plain(root, NAME)
    database.close()


def test_everything_below_is_looked_at_and_no_link_followed(root: Path) -> None:
    assert not_plain(root) == []
    (root / "photos" / "ab").mkdir()
    os.mkfifo(root / "photos" / "ab" / "f.jpg")
    (root / "photos" / "up").symlink_to(root)
    (root / "photos" / "nowhere").symlink_to(root / "nothing")
    assert not_plain(root) == ["photos/ab/f.jpg", "photos/nowhere", "photos/up"]
