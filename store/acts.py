"""The acts of the user on a book, each kept whole or not at all.

A reading or marks bring their verdict with them, and every difference or agreement that can now
be worked out, with its verdict. Nothing is ever changed: a later value counts instead of an
earlier one, a strike says that an entry was wrong.
"""

from store.book import Book
from store.codec import Entry
from store.evidence import Marked, Read
from store.round import Check


def record_reading(book: Book, reading: Read, *, at: str, by: str) -> Check:
    """Keep a typed reading, its verdict, and what follows from it; return the check after it.

    Raises BadPlan for an unknown key, UnitMismatch for a unit of the wrong kind and BadRecord for
    a reading with neither a quantity nor an answer, all before anything is written.
    """
    raise NotImplementedError


def record_marks(book: Book, marked: Marked, *, at: str, by: str) -> Check:
    """Keep accepted marks with the coverage they gave, and its verdict; return the check.

    Raises BadPlan for an unknown key and PhotoMissing unless the photo is filed in the book.
    """
    raise NotImplementedError


def strike(book: Book, cited: str | int, reason: str, *, at: str, by: str) -> Entry:
    """Strike a wrong entry: it stays legible and no longer counts; return the striking entry.

    A reading, marks, the filing of a photo, a waiver or a closing can be struck, once, with a
    reason. What rested on it no longer counts either. Raises NoSuchEntry, BadRecord.
    """
    raise NotImplementedError


def waive(
    book: Book,
    hold_id: str,
    key: str,
    *,
    reason: str,
    decided_by: str,
    owner_agreed: str,
    at: str,
    by: str,
) -> Entry:
    """Keep the decision to go on although ``key`` is unproven; the verdict does not change.

    ``key`` is a check behind the hold point, or a location for the photos missing there. Raises
    BadPlan for what the hold point does not hide, BadRecord for missing words or for something
    that is proven already.
    """
    raise NotImplementedError


def close(book: Book, hold_id: str, *, at: str, by: str) -> Entry:
    """Close a hold point: the part goes on; return the entry.

    Raises NotProven, with everything unproven, if it hides something neither proven nor waived;
    the refusal is kept as an entry too.
    """
    raise NotImplementedError
