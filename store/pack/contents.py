"""What goes into a pack: which lines, which photos, which pages. Nothing is written here."""

import re
from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct

from store.book import Book
from store.branches.forks import fork_folder, recorded_forks
from store.codec import Entry
from store.errors import BadAct, Damaged, PhotoMissing
from store.evidence import (
    CloseRefused,
    GaugeSuspected,
    JobStarted,
    PlanChanged,
    Reopened,
    Reworked,
    Struck,
)
from store.pack import drawings
from store.pack.check_page import check_page
from store.pack.pieces import Piece
from store.photos import PhotoVault
from store.proving.kept import FOLDERS
from store.standing import standing
from store.ways_out.readings_csv import NAME as READINGS
from store.ways_out.readings_csv import readings_csv

REPORT, REPORT_PAGE = "report.pdf", "report.html"
SIGNERS, PAGE = "allowed_signers", "check.html"
_DIGEST = re.compile(rb"[0-9a-f]{64}")
# Without one of these, what is left would be taken for more than it is.
_STAY = (JobStarted, PlanChanged, Struck, Reworked, Reopened, CloseRefused, GaugeSuspected)


class Choice(Struct, frozen=True):
    """The lines of a book that a pack shows, and those that stay at the bench (their hashes)."""

    entries: tuple[Entry, ...]
    left_out: frozenset[str]

    @property
    def shown(self) -> tuple[Entry, ...]:
        """The entries that are shown, in order of arrival."""
        return tuple(entry for entry in self.entries if entry.hash not in self.left_out)


def choose(book: Book, leave_out: Iterable[str]) -> Choice:
    """Return what is shown of a book; ``leave_out`` cites entries as ``Book.entry`` takes them.

    Raises NoSuchEntry, Damaged for a book whose chain is broken, and BadAct for an entry that must
    be shown: the plan and its changes, and what takes something back (a strike, rework, a refusal).
    """
    if not book.is_in_chain:
        raise Damaged(
            "The book's chain is broken, so no pack is made of it: run benchproof verify."
        )
    chosen = [book.entry(each) for each in leave_out]
    for entry in chosen:
        if isinstance(entry.evidence, _STAY):
            raise BadAct(
                f"entry {entry.seq} ({entry.kind}) can't be left out: what is left would be taken "
                "for more than it is"
            )
    return Choice(book.entries(), frozenset(entry.hash for entry in chosen))


def file_pieces(book: Book, choice: Choice) -> list[Piece]:
    """Return the photos and papers that a shown line names.

    Raises PhotoMissing if one is gone.
    """
    named = {each.decode() for entry in choice.shown for each in _DIGEST.findall(entry.line)}
    missing = [each for each in (*book.missing_photos(), *book.missing_papers()) if each in named]
    if missing:
        raise PhotoMissing(
            f"the file {missing[0][:12]} that an entry names is gone, so no pack is made: run "
            "benchproof verify, and look in a copy of the book"
        )
    return [
        Piece(f"{folder.name}/{file.photo[:2]}/{file.path.name}", file.path, file.photo)
        for folder in FOLDERS
        for file in PhotoVault(book.root, folder.name).files()
        if file.photo is not None and file.photo in named
    ]


def fork_pieces(book: Book, choice: Choice) -> list[Piece]:
    """Return the other branches of forks that merges found, with their files and checkpoints.

    With lines left out they stay at the bench too: a branch tells the same lines again.
    """
    if choice.left_out:
        return []
    known = {fork_folder(book.root, fork) for fork in recorded_forks(choice.entries)}
    return [
        Piece(path.relative_to(book.root).as_posix(), path)
        for folder in sorted(known)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith(".") and path.suffix != ".part"
    ]


def told_pieces(choice: Choice) -> list[Piece]:
    """Return the table and the drawings: what follows from the shown lines alone."""
    return [Piece(path, text.encode()) for path, text in told_files(choice.shown).items()]


def told_files(shown: tuple[Entry, ...]) -> dict[str, str]:
    """Return path -> content of the files that follow from the shown lines."""
    found = {READINGS: readings_csv(standing(shown))}
    for name, text in drawings.drawings(shown).items():
        found[f"{drawings.FOLDER}/{name}"] = text
    return found


def page_pieces(reports: tuple[Path, ...]) -> list[Piece]:
    """Return the pages for people: the reports, if there are some, and the check for a browser."""
    names = (REPORT, REPORT_PAGE)
    shown = [Piece(name, path) for name, path in zip(names, reports, strict=False)]
    return [Piece(PAGE, check_page().encode()), *shown]
