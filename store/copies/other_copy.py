"""Another copy of a book on the table: a book's folder or a pack, believed only once verified."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from msgspec import Struct

from store.codec import Entry, decode
from store.errors import BadAct, BadPack, BadRecord, CannotRead, Damaged, NotABook
from store.files.plain_folder import check_plain
from store.finding import Finding, against, unread
from store.ledger import FILE_NAME, Ledger
from store.pack.bag import DATA
from store.pack.inspection import verify_pack
from store.pack.lines import read_lines
from store.pack.staging import is_pack, staged
from store.pack.vouching import read_signers
from store.verify import verify

Tell = Callable[[int, int], None]
Check = Callable[[Path, Tell], list[Finding]]


class Checks(Struct, frozen=True):
    """How another copy is verified, a book and a pack; each is told of its progress."""

    book: Check = lambda root, tell: verify(root, progress=tell)
    pack: Check = lambda root, tell: verify_pack(root, progress=tell)


class OtherCopy(Struct, frozen=True):
    """What was read: the entries in order of arrival there, and the folder with the files.

    ``signed_with`` is the fingerprint of the key that a pack is signed with, empty for a book.
    """

    root: Path
    entries: tuple[Entry, ...]
    signed_with: str = ""


@contextmanager
def read_copy(path: Path, checks: Checks, tell: Tell) -> Iterator[OtherCopy]:
    """Give another copy, verified; what a zip unpacks to is gone when the block ends.

    Raises BadPack and Damaged with the first thing that is wrong, BadAct for a pack with lines
    left out, NotAPack and NotABook for what is neither, CannotRead where something could not be
    read now.
    """
    if path.is_file() or is_pack(path):
        with ExitStack() as open_as_long:
            with _refused_by_name(path):
                root = open_as_long.enter_context(staged(path, lambda _done, _of: None))
                copy = _read_pack(root, path, checks, tell)
            yield copy
    else:
        yield _read_book(path, checks, tell)


@contextmanager
def _refused_by_name(path: Path) -> Iterator[None]:
    """Say of which pack a reason is: whoever merges named it, and the reason may not."""
    try:
        yield
    except BadPack as error:
        if str(error).startswith(path.name):
            raise
        raise BadPack(f"{path.name} is refused, and nothing of it was taken: {error}") from error


def _read_pack(root: Path, path: Path, checks: Checks, tell: Tell) -> OtherCopy:
    before = _lines_of_pack(root, path)
    findings = checks.pack(root, tell)
    _refuse(findings, BadPack, path)
    if any(finding.code == "lines-left-out" for finding in findings):
        raise BadAct(
            f"{path.name} has lines left out, and no chain can go on from what is not there: ask "
            "for a pack with every line."
        )
    _refuse_changed(before, _lines_of_pack(root, path), path)
    return OtherCopy(root / DATA, before, read_signers(root).keys[0].fingerprint)


def _lines_of_pack(root: Path, path: Path) -> tuple[Entry, ...]:
    found: list[Finding] = []
    lines = read_lines(root, read_signers(root).benches, found)
    _refuse(found, BadPack, path)
    return lines.entries


def _read_book(root: Path, checks: Checks, tell: Tell) -> OtherCopy:
    if not root.is_dir():
        raise NotABook(f"{root} is neither a book nor a pack: name a book's folder or a pack.")
    if (root / FILE_NAME).exists():
        check_plain(root, FILE_NAME)
    if Ledger.was_cut_off(root):
        raise BadAct(
            f"A program was cut off while it wrote to {root}, or is writing now: open that book "
            "once where it lies, and do it again."
        )
    before = _lines_of_book(root)
    _refuse(checks.book(root, tell), Damaged, root)
    _refuse_changed(before, _lines_of_book(root), root)
    return OtherCopy(root, before)


def _lines_of_book(root: Path) -> tuple[Entry, ...]:
    ledger = Ledger(root, read_only=True)
    try:
        lines = [line for _, line in ledger.lines()]
    finally:
        ledger.close()
    try:
        return tuple(decode(line) for line in lines)
    except BadRecord as error:
        raise Damaged(f"{root} holds a line that can't be read ({error}): run verify.") from error


def _refuse(findings: list[Finding], kind: type[BadPack | Damaged], path: Path) -> None:
    wrong = against(findings)
    if not wrong and (not_read := unread(findings)):
        raise CannotRead(
            f"{path.name} was not checked to the end, and nothing of it was taken: "
            f"{not_read[0].where}: {not_read[0].detail}."
        )
    if wrong:
        more = f", and {len(wrong) - 1} more" if len(wrong) > 1 else ""
        raise kind(
            f"{path.name} is not what was written, and nothing of it was taken: {wrong[0].where}: "
            f"{wrong[0].detail}{more}; run benchproof verify on it."
        )


def _refuse_changed(before: tuple[Entry, ...], now: tuple[Entry, ...], path: Path) -> None:
    """Refuse a copy whose lines changed while they were verified; more lines may have come."""
    if [entry.hash for entry in now[: len(before)]] != [entry.hash for entry in before]:
        raise BadAct(f"{path.name} was changed while it was looked at: do it again.")
