"""Two benches that work on copies of one book, and what is looked at after a merge."""

from pathlib import Path

from store.book import Book
from store.copies.copying import copy_book
from store.copies.merge import Merge, merge
from store.copies.other_copy import Checks
from store.evidence import Merged
from store.finding import Finding
from store.pack.inspection import verify_pack
from store.plan import Plan
from store.verify import verify
from store.written import acts
from tests.store import small_job
from tests.store.small_job import WHO, new_book, reading

# The marks of these tests were never on a photo: a stand-in works them out.
CHECKS = Checks(
    book=lambda root, tell: verify(root, measure=small_job.measure, progress=tell),
    pack=lambda root, tell: verify_pack(root, measure=small_job.measure, progress=tell),
)


def parted(folder: Path, the_plan: Plan | None = None) -> tuple[Book, Book]:
    """Return the books of two benches, north and south, which parted after one reading."""
    north = new_book(folder / "north", the_plan)
    acts.record_reading(north, reading("P3.bore", 20.0), **WHO)
    copy_book(north, folder / "south", bench="south", **WHO)
    return north, Book.open(folder / "south")


def take_in(book: Book, other: Book | Path) -> Merge:
    return merge(book, other.root if isinstance(other, Book) else other, checks=CHECKS, **WHO)


def wrong(book: Book) -> list[Finding]:
    return [f for f in verify(book.root, measure=small_job.measure) if f.severity != "note"]


def notes(book: Book) -> list[str]:
    return [f.code for f in verify(book.root, measure=small_job.measure) if f.severity == "note"]


def work(book: Book) -> set[str]:
    """Return the hashes of everything but records of merges."""
    return {e.hash for e in book.entries() if not isinstance(e.evidence, Merged)}


def tree(root: Path) -> dict[str, bytes]:
    """Return every file below a folder that is the book's own: path -> bytes."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and path.name not in {"writer.txt", "index.db"}
    }
