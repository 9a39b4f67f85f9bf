"""What is there after an act that was cut short: all that was acknowledged, nothing half."""

from pathlib import Path

from store.book import Book
from store.codec import Entry
from store.errors import StoreError
from store.files.halfmade import clear_left_scratch
from tests.faults.present import BOOK, COPY, SOUTH, entries_of, wrong_in
from tests.faults.shop import Act
from tests.faults.workbench import Done, work_in_peace

_BOOKS = (BOOK, SOUTH, COPY)
_LITTER = ("*.part", "incoming-*", "*-journal")  # writer.txt goes with the next entry


def faults_after(shop: Path, act: Act, done: Done, before: tuple[Entry, ...]) -> list[str]:
    """Return everything that is wrong after an act was cut short, before and after it is redone."""
    found = [*as_left(shop, act, done, before), *_opened(shop)]
    again = work_in_peace(shop, act.words)
    if not act.is_done(shop):
        found.append(f"done again it was not done: {again.code} {again.err.strip()}")
    found += [f"{finding}, after it was done again" for finding in _wrong(shop)]
    return [*found, *(f"left for good: {path}" for path in litter(shop))]


def as_left(shop: Path, act: Act, done: Done, before: tuple[Entry, ...]) -> list[str]:
    """Return what is wrong in the shop as it was left, before anything opens it for writing."""
    has_begun = bool(before or done.out)  # else the next start goes on with what is there
    found = _wrong(shop) if has_begun else []
    now = {entry.hash for entry in entries_of(shop)}
    found += [f"entry {entry.seq} is gone" for entry in before if entry.hash not in now]
    if done.out and not act.is_done(shop):
        found.append(f"it said {done.out.splitlines()[0]!r}, and it is not so")
    for path in (shop / "out").iterdir():
        if not path.name.endswith(".part") and path.is_file() and path.stat().st_size == 0:
            found.append(f"{path.name} is there and empty")
    return found


def litter(shop: Path) -> list[str]:
    """Return what lies in the shop that nothing needs and the next one does not take away."""
    clear_left_scratch(shop / "tmp")  # as the next one that needs such a folder does
    half = {path for like in _LITTER for path in shop.rglob(like)}
    scratch = set((shop / "tmp").glob("benchproof-*/"))
    return sorted(path.relative_to(shop).as_posix() for path in half | scratch)


def _wrong(shop: Path) -> list[str]:
    return [f"{book}: {each}" for book in _BOOKS for each in wrong_in(shop, book)]


def _opened(shop: Path) -> list[str]:
    """Open every book for writing, as the next act does; return what is wrong then."""
    found = []
    for name in _BOOKS:
        if entries_of(shop, name):
            try:
                with Book.open(shop / name) as book:
                    missing = (*book.missing_photos(), *book.missing_papers())
            except StoreError as error:
                found.append(f"{name} can't be opened: {error}")
            else:
                found += [f"{name}: {each[:12]} is missing" for each in missing]
    return found
