"""A machine that fails while a sound book or pack is checked: it is told, and nobody is accused.

The k-th call that opens or lists something fails, k = 1, 2, 3 ... until none is hit.
"""

import errno
import io
import itertools
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from store.book import Book
from store.errors import CannotRead, StoreError
from store.files.passing import is_passing
from store.finding import Finding
from store.pack.inspection import verify_pack
from store.pack.vouching import check_book_checkpoints
from store.report.document import write_report
from store.verify import check_kept, verify
from store.written import acts
from tests.store import small_job
from tests.store.pack.packed import AT, make_key, packed
from tests.store.small_job import VERSION, WHO, file_photo, marks, reading
from tests.store.two_benches import parted, take_in, tree

_CALLS = ((io, "open"), (os, "open"), (os, "scandir"))


@contextmanager
def failing(at_call: int, number: int) -> Iterator[list[str]]:
    """Fail the call with this ordinal with an errno; gives the path that was asked for, if any."""
    hit: list[str] = []
    count = itertools.count(1)

    def wrapped(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(path: Any = ".", *given: Any, **named: Any) -> Any:
            if not isinstance(path, int) and not _is_clearing_up() and next(count) == at_call:
                hit.append(str(path))
                raise OSError(number, os.strerror(number), str(path))
            return real(path, *given, **named)

        return call

    with ExitStack() as open_as_long:
        for module, name in _CALLS:
            real = getattr(module, name)
            open_as_long.enter_context(mock.patch.object(module, name, wrapped(real)))
        yield hit


def _is_clearing_up() -> bool:
    """Return whether scratch is being taken away, of which nothing is read."""
    frame = sys._getframe(1)
    while frame.f_back is not None:
        if frame.f_code.co_name in {"clear_left_scratch", "_clear"}:
            return True
        frame = frame.f_back
    return False


def check_book(root: Path) -> list[Finding]:
    return [*verify(root, measure=small_job.measure), *check_book_checkpoints(root)]


def check_pack(root: Path) -> list[Finding]:
    return verify_pack(root, measure=small_job.measure)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with two benches' books, one of them with a fork and checkpoints, and packs."""
    folder = tmp_path_factory.mktemp("shop")
    north, south = parted(folder)
    with north, south:
        shutil.copytree(south.root, folder / "old")
        acts.record_marks(south, marks(file_photo(south, "OH2", "with scale")), **WHO)
        with Book.open(folder / "old") as old:  # another history of south
            acts.record_reading(old, reading("OH2.deep", 5.2), **WHO)
            take_in(south, old)
        key = make_key(folder)
        packed(south, folder / "pack.zip", key)
        packed(south, folder / "pack", key)
    return folder


@pytest.mark.parametrize("number", [errno.EMFILE, errno.EIO])
@pytest.mark.parametrize(
    ("name", "check"),
    [("south", check_book), ("south", check_kept), ("pack", check_pack), ("pack.zip", check_pack)],
)
def test_a_machine_that_fails_accuses_nobody_and_vouches_for_nothing(
    shop: Path, name: str, check: Callable[[Path], list[Finding]], number: int
) -> None:
    before = tree(shop / "south")
    assert {f.severity for f in check(shop / name)} <= {"note"}
    accused, vouched = [], []
    for step in itertools.count(1):
        with failing(step, number) as hit:
            try:
                severities = {finding.severity for finding in check(shop / name)}
            except (StoreError, OSError) as error:
                severities = {"unread"} if is_passing(error) else {f"{error!r}"}  # type: ignore[arg-type]
        if not hit:
            break
        accused += [(hit, severities)] * bool(severities - {"note", "unread"})
        vouched += [hit] * ("unread" not in severities)
    assert step > 10
    assert accused == []
    assert vouched == []
    assert tree(shop / "south") == before


@pytest.mark.parametrize("name", ["south", "pack.zip"])
def test_a_copy_that_could_not_be_read_is_not_taken_in_and_not_accused(
    shop: Path, tmp_path: Path, name: str
) -> None:
    told: list[Exception] = []
    for step in itertools.count(1, 5):
        root = Path(shutil.copytree(shop / "north", tmp_path / f"north {step}"))
        with Book.open(root) as north:
            with failing(step, errno.EMFILE) as hit:
                try:
                    take_in(north, shop / name)
                except (StoreError, OSError) as error:
                    told.append(error)
            if not hit:
                break
            take_in(north, shop / name)
            assert check_book(root) == [f for f in check_book(root) if f.severity == "note"]
    assert [error for error in told if not is_passing(error)] == []
    assert any("could not be read now: too many open files" in str(error) for error in told)
    assert not any("not what was written" in str(error) for error in told)


def test_no_report_is_printed_of_a_book_that_could_not_be_read(shop: Path, tmp_path: Path) -> None:
    """Its alarm would be gone the next time, and the page would not."""
    with Book.open(shop / "south", read_only=True) as book:
        book.round()
        with (
            mock.patch("store.proving.kept.hash_file", side_effect=OSError(errno.EIO, "I/O error")),
            pytest.raises(CannotRead, match="no report was made"),
        ):
            write_report(book, tmp_path / "report.pdf", at=AT, version=VERSION)
    assert list(tmp_path.iterdir()) == []
