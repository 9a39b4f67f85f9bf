"""Look-ups over the books of many jobs, in an index of the shop's own that follows from the books.

The index is one SQLite file in no book; it may be deleted at any time. A book is read again when
its ledger's file has changed, and its fingerprint with it; one that can't be read, or is no longer
there, is listed with the reason and nothing of it is found. Of several copies of one book the one
with the most entries is looked at. Nothing is decided from it: the evidence is in the books.
"""

from collections.abc import Callable, Iterable
from pathlib import Path

from msgspec import Struct

from store.book import Book
from store.errors import Damaged, NotABook
from store.known.fingerprint import fingerprint
from store.many_jobs.shelves import books_under, path_text, stamp_of
from store.many_jobs.shop_file import ShopFile
from store.many_jobs.shop_tables import Found, found_in
from store.many_jobs.sought import Condition, Sought
from store.ways_out.listing import Cell, Row

Progress = Callable[[int, int], None]
GONE = "it is no longer there: moved, deleted, or its disk is not in"
_BUSY_SECONDS = 2.0  # a book that somebody keeps writing to is read the next time
_JOB = "b.job, b.engine, b.engine_number, b.customer, b.shop, b.last, b.path"
# Asked once for all rows: a look-up for each would take seconds where there are many.
_AGREEMENT = (
    ", iif((r.book, r.key) IN (SELECT book, key FROM checks WHERE kind = 'agreement'), "
    "'agreement', '') kind"
)
_COUNTS_INSTEAD = (
    "(SELECT o.path FROM looked_at JOIN books o ON o.id = book "
    "WHERE o.first = b.first AND o.id <> b.id AND b.problem = '')"
)
_LOOKED_AT = "JOIN looked_at l ON l.book = {0}.book JOIN books b ON b.id = {0}.book"


class _Unread(Struct, frozen=True):
    """Why a book could not be read; ``lasting``: it can't be as long as its ledger is the same."""

    reason: str
    lasting: bool


class Shop:
    """The books of many jobs. ``unseen`` says which folders could not be looked into."""

    def __init__(self, file: ShopFile) -> None:
        self._file = file
        self._folders: tuple[Path, ...] = ()
        self.unseen: tuple[str, ...] = ()

    def refresh(self, folders: Iterable[Path], progress: Progress | None = None) -> None:
        """Bring the index up to date with the books in some folders, which are looked through.

        Raises CannotWrite for the index; a book that can't be read raises nothing.
        """
        tell = progress or (lambda _done, _of: None)
        self._folders = tuple(folder.resolve() for folder in folders)
        try:
            self._bring_up_to_date(tell)
        except Damaged:  # the index: whatever a book is, is told of it
            self._file.begin_anew()
            self._bring_up_to_date(tell)

    def books(self, sought: Sought) -> list[Row]:
        """Return the books looked through, by customer, engine and job, the latest first.

        ``problem`` says why a book could not be read, ``copy_of`` which other copy is looked at.
        """
        where, given = sought.of_books()
        return self._asked(
            f"SELECT b.*, ifnull({_COUNTS_INSTEAD}, '') copy_of FROM books b "  # noqa: S608 - ours
            f"JOIN in_folders i ON i.book = b.id WHERE {where} ORDER BY b.last DESC, b.path",
            given,
        )

    def checks(self, sought: Sought) -> list[Row]:
        """Return where checks stand, each with its job, the latest job first."""
        return self._of_jobs("checks", "c", sought.of_checks(self._there_is))

    def readings(self, sought: Sought) -> list[Row]:
        """Return every value ever given for checks, counted or not, each with its job.

        Their ``kind`` is "agreement" for an En number, else empty.
        """
        return self._of_jobs("readings", "r", sought.of_readings(self._there_is), _AGREEMENT)

    def close(self) -> None:
        """Close the index."""
        self._file.close()

    def _bring_up_to_date(self, tell: Progress) -> None:
        refused: list[OSError] = []
        there = dict.fromkeys(
            root for folder in self._folders for root in books_under(folder, refused.append)
        )
        self.unseen = tuple(f"{error.filename}: {error.strerror}" for error in refused)
        known = {str(row["path"]): row for row in self._file.rows("SELECT * FROM books")}
        for number, root in enumerate(there):
            tell(number, len(there))
            self._look_at(root, known.get(path_text(root)))
        for path in known.keys() - {path_text(root) for root in there}:
            if self._is_looked_through(path):
                self._file.keep({"path": path, "problem": GONE, "stamp": ""}, None)
        tell(len(there), len(there))
        self._file.look_through(
            row["id"]
            for row in self._file.rows("SELECT id, path FROM books")
            if self._is_looked_through(str(row["path"]))
        )

    def _of_jobs(self, table: str, short: str, condition: Condition, more: str = "") -> list[Row]:
        where, given = condition
        return self._asked(
            f"SELECT {_JOB}, {short}.*{more} FROM {table} {short} {_LOOKED_AT.format(short)} "  # noqa: S608 - ours
            f"WHERE {where} ORDER BY b.last DESC, b.path, {short}.rowid",
            given,
        )

    def _asked(self, question: str, given: dict[str, str]) -> list[Row]:
        try:
            return self._file.rows(question, given)
        except Damaged:
            # Torn where the look at the books had not come to.
            self._file.begin_anew()
            self.refresh(self._folders)
            return self._file.rows(question, given)

    def _there_is(self, where: str, given: dict[str, str]) -> bool:
        looked_at = _LOOKED_AT.format("c")
        return bool(
            self._asked(f"SELECT 1 FROM checks c {looked_at} WHERE {where} LIMIT 1", given)  # noqa: S608 - ours
        )

    def _look_at(self, root: Path, known: Row | None) -> None:
        stamp = stamp_of(root)
        if known and stamp and known["stamp"] == stamp:
            return
        there = fingerprint(root)
        if known and there and known["fingerprint"] == there and not known["problem"]:
            self._file.restamp(path_text(root), stamp)
            return
        found = _read(root)
        book: dict[str, Cell] = {"path": path_text(root), "fingerprint": there}
        if isinstance(found, Found):
            self._file.keep({**found.book, **book, "stamp": stamp}, found)
        else:
            lasting = stamp if found.lasting else ""
            self._file.keep({**book, "problem": found.reason, "stamp": lasting}, None)

    def _is_looked_through(self, path: str) -> bool:
        return any(Path(path).is_relative_to(path_text(folder)) for folder in self._folders)


def _read(root: Path) -> Found | _Unread:
    """Return what there is to be found of a book, or why it can't be read."""
    try:
        with Book.open(root, read_only=True, busy_seconds=_BUSY_SECONDS) as book:
            if not book.is_in_chain:
                return _Unread("; ".join(book.warnings), lasting=True)
            return found_in(book.round(), book.told)
    except Exception as error:  # noqa: BLE001 - one book in five hundred may hold anything
        reason = " ".join(str(error).split()) or type(error).__name__
        return _Unread(reason, lasting=isinstance(error, Damaged | NotABook))
