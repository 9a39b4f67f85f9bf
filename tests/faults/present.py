"""What is there in a shop: which entries, whether books, packs and pages are whole."""

from pathlib import Path

from store.book import Book
from store.codec import Entry
from store.errors import StoreError
from store.evidence import PaperKept, PhotoTaken
from store.finding import Finding
from store.pack.inspection import verify_pack
from store.photos import hash_file
from store.verify import verify
from tests.store import small_job

BOOK, SOUTH, COPY = "book", "south", "out/copy"


def entries_of(shop: Path, book: str = BOOK) -> tuple[Entry, ...]:
    """Return a book's entries, none if there is no book."""
    try:
        with Book.open(shop / book, read_only=True) as opened:
            return opened.entries()
    except StoreError:
        return ()


def wrong_in(shop: Path, book: str = BOOK) -> list[Finding]:
    """Return what verification says of a book, but for notes; a book that never began is sound."""
    root = shop / book
    if not root.exists():
        return []
    found = verify(root, measure=small_job.measure)
    return [finding for finding in found if finding.severity != "note"]


def has(shop: Path, kind: type, **fields: str) -> bool:
    """Return whether the book has an entry of a kind with these fields, and the file it names."""
    return any(
        isinstance(entry.evidence, kind)
        and all(getattr(entry.evidence, name) == value for name, value in fields.items())
        and _has_file(shop / BOOK, entry)
        for entry in entries_of(shop)
    )


def _has_file(root: Path, entry: Entry) -> bool:
    """Return whether the file that an entry names, if any, lies there as it was."""
    photo = getattr(entry.evidence, "photo", "") if isinstance(entry.evidence, PhotoTaken) else ""
    paper = entry.evidence.paper if isinstance(entry.evidence, PaperKept) else ""
    if not photo and not paper:
        return True
    found = list((root / ("photos" if photo else "papers")).glob(f"??/{photo or paper}.*"))
    return len(found) == 1 and hash_file(found[0]) == (photo or paper)


def ends_with(path: Path, end: bytes) -> bool:
    """Return whether a file is there and whole, as told by its end."""
    return path.is_file() and path.read_bytes().rstrip().endswith(end)


def is_sound_pack(path: Path) -> bool:
    """Return whether a pack is there and verifies."""
    if not path.exists():
        return False
    found = verify_pack(path, measure=small_job.measure)
    return not [finding for finding in found if finding.severity != "note"]


def is_sound_copy(shop: Path) -> bool:
    """Return whether the copy is there, verifies, and has every entry of the book."""
    return (shop / COPY).is_dir() and not wrong_in(shop, COPY) and has_all_of(shop, BOOK, COPY)


def has_all_of(shop: Path, one: str, other: str = BOOK) -> bool:
    """Return whether a book has every entry of another."""
    there = {entry.hash for entry in entries_of(shop, other)}
    return {entry.hash for entry in entries_of(shop, one)} <= there
