"""A book that is open in one thread is looked at in another: no lock on it is let go of.

What lets go of one is in "How To Corrupt An SQLite Database File" of sqlite.org, section 2.2.
"""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Thread

import pytest

from store.book import Book
from store.copies.copying import copy_book
from store.files import locked_file
from store.files.locked_file import OpenHere, read_aside
from store.known.fingerprint import fingerprint
from store.known.unaltered import fingerprint_of
from store.ledger import FILE_NAME
from store.many_jobs.shop_file import ShopFile
from store.shop import Shop
from store.verify import check_kept
from tests.store.small_job import WHO, answer, new_book

_OTHER = (
    "import sqlite3, sys; d = sqlite3.connect(sys.argv[1], timeout=0, isolation_level=None)\n"
    "try: d.execute('BEGIN IMMEDIATE')\n"
    "except sqlite3.OperationalError as error: print(error)"
)


def another_program_tries(root: Path) -> str:
    """Return what another program is told that wants to write."""
    return subprocess.run(
        [sys.executable, "-c", _OTHER, str(root / FILE_NAME)],
        capture_output=True, text=True, check=True,
    ).stdout.strip()  # fmt: skip


def looked_at_in_the_shop(root: Path) -> None:
    shop = Shop(ShopFile(None, version="1"))
    shop.refresh([root.parent])
    shop.close()


def opened_and_read(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        assert book.round().checks


def copied(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        copy_book(book, root.with_name("copy"), **WHO)


def looked_whether_it_is_the_same(root: Path) -> None:
    with Book.open(root, read_only=True) as book:
        assert fingerprint_of(root, book.entries()) == fingerprint(root)


def is_held(path: Path) -> bool:
    seen = path.stat()
    file = (seen.st_dev, seen.st_ino)
    return file in locked_file._open or file in locked_file._waiting


LOOKS: list[Callable[[Path], object]] = [
    fingerprint, check_kept, opened_and_read, looked_at_in_the_shop, copied,
    looked_whether_it_is_the_same,
]  # fmt: skip


def in_a_thread(look: Callable[[Path], object], root: Path) -> None:
    failed: list[BaseException] = []

    def work() -> None:
        try:
            look(root)
        except BaseException as error:  # noqa: BLE001 - told below
            failed.append(error)

    thread = Thread(target=work)
    thread.start()
    thread.join(120)
    assert not thread.is_alive()
    assert failed == []


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.__name__)
def test_a_look_in_another_thread_lets_go_of_no_lock(
    tmp_path: Path, look: Callable[[Path], object]
) -> None:
    root = tmp_path / "jobs" / "book"
    root.parent.mkdir()
    with new_book(root) as book:
        with book.act(**WHO) as act:
            in_a_thread(look, root)
            assert another_program_tries(root) == "database is locked"
            act.append(answer("P3.clean", said=True))
        assert another_program_tries(root) == ""
        assert len(book.entries()) == 2
    assert not is_held(root / FILE_NAME)


def test_a_file_is_closed_when_the_last_database_of_it_is(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"bytes")
    with read_aside(path) as file:
        assert file.read() == b"bytes"
    assert file.closed
    first, second = OpenHere(path), OpenHere(path)
    with read_aside(path) as file, read_aside(path) as other:
        assert file is not other
        assert (file.read(), other.read()) == (b"bytes", b"bytes")
    assert not file.closed
    with read_aside(path) as again:  # the same, from its beginning: they do not add up
        assert again in {file, other}
        assert again.read() == b"bytes"
    first.close()
    first.close()
    assert not file.closed
    second.close()
    assert (file.closed, other.closed) == (True, True)


def test_what_is_not_there_is_not_open(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        OpenHere(tmp_path / "none")
    with pytest.raises(FileNotFoundError), read_aside(tmp_path / "none"):
        pass


def test_a_database_that_is_lost_unclosed_holds_nothing(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"bytes")
    lost = [OpenHere(path)]
    with read_aside(path) as file:
        pass
    assert is_held(path)
    lost.clear()
    assert file.closed
    assert not is_held(path)
