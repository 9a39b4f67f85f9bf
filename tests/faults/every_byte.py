"""Flip one bit in every single byte of a small book and of small packs: is each flip found?

    python -m tests.faults.every_byte [book] [merged] [folder] [zip] [redacted] [--every K]

Prints a line for each file: bytes flipped, flips that ``verify`` finds (altered or damaged), and
those it does not, with the reason why they change no fact. One that has no reason ends it with 1.
The number of the bit goes round with the place. Two processes, each with a copy of its own.
"""

import argparse
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from pathlib import Path
from typing import NamedTuple

from store.book import Book
from store.copies.copying import copy_book
from store.errors import NotAPack
from store.files.whose import BENCH_NAME
from store.finding import Finding
from store.ledger import FILE_NAME
from store.pack.audit import check_bag
from store.pack.inspection import verify_pack
from store.pack.vouching import check_book_checkpoints
from store.verify import verify
from store.written import acts
from tests.faults import sqlite_pages, zip_parts
from tests.store import small_job
from tests.store.pack.packed import make_key, packed, small_book
from tests.store.small_job import WHO, file_photo, new_book, reading
from tests.store.two_benches import take_in

MEMORY = Path("/dev/shm")  # noqa: S108 - where there is one, flips cost no disk
AT_ONCE = 2
_PORTION = 500
NOT_FOUND = "NOT FOUND"
_OTHER_BENCH = "whose chain the next entry goes on: another bench's name, of which nothing is made"
Check = Callable[[Path], list[Finding]]


class Subject(NamedTuple):
    """What is flipped: its name, where it lies (a folder or one file), and how it is checked."""

    name: str
    path: Path
    check: Check


class Flip(NamedTuple):
    """One flip: in which file, where, and what came of it: found, or the reason why not."""

    file: str
    place: int
    came_of_it: str


def make(root: Path) -> dict[str, Subject]:
    """Return a small book and its packs, made below a folder, by name."""
    key = make_key(root)
    with small_book(root / "book") as book:
        packed(book, root / "folder", key)
        packed(book, root / "pack.zip", key)
        said = [entry.hash for entry in book.entries() if entry.kind == "owner said"]
        packed(book, root / "redacted.zip", key, leave_out=said)
    _merged(root)
    found = (
        Subject("book", root / "book", check_book),
        Subject("merged", root / "merged", check_book),
        Subject("folder", root / "folder", check_folder),
        Subject("zip", root / "pack.zip", check_pack),
        Subject("redacted", root / "redacted.zip", check_pack),
    )
    return {subject.name: subject for subject in found}


def _merged(root: Path) -> None:
    """Make a copy for another bench of a book that has met another history of its own bench."""
    with new_book(root / "north") as north:
        shutil.copytree(north.root, root / "twin")
        with Book.open(root / "twin") as twin:
            file_photo(twin, "P3", content=b"another lid")
        acts.record_reading(north, reading("P3.bore", 20.0), **WHO)
        take_in(north, root / "twin")
        copy_book(north, root / "merged", bench="south", **WHO)
    with Book.open(root / "merged") as south:
        file_photo(south, "P3", content=b"seen from the south")


def check_book(root: Path) -> list[Finding]:
    """Return what is wrong with a book."""
    return _wrong([*verify(root, measure=small_job.measure), *check_book_checkpoints(root)])


def check_pack(path: Path) -> list[Finding]:
    """Return what is wrong with a pack."""
    try:
        return _wrong(verify_pack(path, measure=small_job.measure))
    except NotAPack as error:
        return [Finding("altered", "not-a-pack", path.name, str(error))]


def check_folder(path: Path) -> list[Finding]:
    """Return what is wrong with a pack's folder; what the bag shows is found first, and fast."""
    return _wrong(check_bag(path)) or check_pack(path)


def _wrong(findings: Iterable[Finding]) -> list[Finding]:
    return [each for each in findings if each.severity in {"altered", "damaged"}]


def files_of(subject: Subject) -> list[Path]:
    """Return the files whose bytes are flipped."""
    if subject.path.is_file():
        return [subject.path]
    return sorted(path for path in subject.path.rglob("*") if path.is_file())


def flips(subject: Subject, file: Path, places: Iterable[int]) -> Iterator[Flip]:
    """Flip a bit at each place of a file, one at a time, and tell what comes of it."""
    content = file.read_bytes()
    name = file.relative_to(subject.path.parent).as_posix()
    file.chmod(0o644)
    for place in places:
        bit = 1 << place % 8
        file.write_bytes(content[:place] + bytes([content[place] ^ bit]) + content[place + 1 :])
        found = subject.check(subject.path)
        came = f"found: {found[0].code}" if found else _why_harmless(file, content, place, bit)
        yield Flip(name, place, came)
    file.write_bytes(content)


def _why_harmless(file: Path, content: bytes, place: int, bit: int) -> str:
    """Return why a flip changes no fact: its place is one that nothing is made of."""
    if file.name == BENCH_NAME:
        return _OTHER_BENCH
    if file.name == FILE_NAME:
        return _unused_of_database(content).get(place, NOT_FOUND)
    if file.suffix == ".zip":
        return zip_parts.harmless(content, place, bit) or NOT_FOUND
    return NOT_FOUND


_unused_of_database = cache(sqlite_pages.unused)


def portions(subject: Subject, every: int) -> list[tuple[str, str, range]]:
    """Return all that is to be flipped in portions: subject, file below it, places."""
    found = []
    for start, file in enumerate(files_of(subject)):
        size = file.stat().st_size
        name = file.relative_to(subject.path.parent).as_posix()
        places = range(start % every, size, every)
        found += [
            (subject.name, name, places[begin : begin + _PORTION])
            for begin in range(0, len(places), _PORTION)
        ]
    return found


_own: dict[str, Subject] = {}


def _begin(source: Path, scratch: Path, subjects: dict[str, tuple[str, Check]]) -> None:
    """Give this process a copy of its own, and a place for what it unpacks."""
    place = Path(tempfile.mkdtemp(dir=scratch))
    tempfile.tempdir = str(place)
    shutil.copytree(source, place, dirs_exist_ok=True)
    _own.update(
        {name: Subject(name, place / there, check) for name, (there, check) in subjects.items()}
    )


def _work(portion: tuple[str, str, range]) -> list[Flip]:
    name, file, places = portion
    subject = _own[name]
    return list(flips(subject, subject.path.parent / file, places))


def _scratch() -> Path | None:
    return MEMORY if MEMORY.is_dir() else None


def main() -> int:
    """Flip, print, and return how it ends."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("subjects", nargs="*", metavar="book|merged|folder|zip|redacted")
    parser.add_argument("--every", type=int, default=1, help="only every K-th byte")
    given = parser.parse_args()
    missed = 0
    with tempfile.TemporaryDirectory(prefix="flips-", dir=_scratch()) as scratch:
        root = Path(scratch, "made")
        root.mkdir()
        subjects = make(root)
        for name in given.subjects or subjects:
            missed += _print_flips(root, subjects[name], given.every, Path(scratch))
    return 1 if missed else 0


def _print_flips(root: Path, subject: Subject, every: int, scratch: Path) -> int:
    if subject.check(subject.path):
        raise SystemExit(f"{subject.name} is not sound before anything was flipped")
    begin = time.monotonic()
    given = (root, scratch, {subject.name: (subject.path.name, subject.check)})
    with ProcessPoolExecutor(AT_ONCE, initializer=_begin, initargs=given) as pool:
        done = [flip for some in pool.map(_work, portions(subject, every)) for flip in some]
    seconds = time.monotonic() - begin
    print(f"{subject.name}: {len(done)} bytes, each with one bit flipped ({seconds:.0f} s)")
    files = Counter(flip.file for flip in done)
    found = Counter(flip.file for flip in done if flip.came_of_it.startswith("found"))
    for file in files:
        print(f"  {file[-60:]:60} {files[file]:>7} flipped {found[file]:>7} found")
    reasons = Counter(flip.came_of_it for flip in done)
    for reason, count in sorted(reasons.items()):
        print(f"  {count:>8}  {reason}")
    for flip in done:
        if flip.came_of_it == NOT_FOUND:
            print(f"  {NOT_FOUND}: {flip.file} byte {flip.place}")
    return reasons[NOT_FOUND]


if __name__ == "__main__":
    sys.exit(main())
