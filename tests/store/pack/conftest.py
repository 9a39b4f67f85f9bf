"""One small book and its pack for many tests: each takes a copy."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.book import Book
from tests.store.pack.packed import copy_of, make_key, packed, small_book


@pytest.fixture(scope="session")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A private key that ssh-keygen made."""
    return make_key(tmp_path_factory.mktemp("key"))


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory, key: Path) -> Path:
    """A folder with a book and its pack, as a folder and as a zip."""
    root = tmp_path_factory.mktemp("made")
    with small_book(root / "book") as book:
        packed(book, root / "pack", key)
        packed(book, root / "pack.zip", key)
    return root


@pytest.fixture
def pack(made: Path, tmp_path: Path) -> Path:
    """A copy of the pack's folder, to be changed at will."""
    return copy_of(made / "pack", tmp_path / "pack")


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Iterator[Book]:
    """A copy of the book, which has left one pack."""
    with Book.open(copy_of(made / "book", tmp_path / "book")) as opened:
        yield opened
