"""A copy of a book on another disk or for another bench, made while the book may be in use.

The ledger is copied as it is at one moment, with the heads and checkpoints of that moment; the
photos and papers that its entries name were there before it, so they are copied after it. A new
copy is made beside its name and gets it when it was verified. A copy that is there already gets
the rows, files and heads that it lacks; nothing in it is ever changed.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from msgspec import Struct

from store.book import Book
from store.branches.forks import FOLDER as FORKS
from store.branches.views import record_of
from store.codec import Entry, checked_bench, decode
from store.errors import BadAct, CannotRead, Damaged, PhotoAltered
from store.files.disk import (
    cannot_write,
    check_local,
    check_room,
    make_folder,
    sync_folder,
    write_text,
)
from store.files.halfmade import held, passing_name, replace_file
from store.files.notice import FORMAT_NAME, FORMAT_TEXT
from store.files.whose import note_bench, own_bench
from store.finding import Finding, unread
from store.ledger import FILE_NAME, HEADS_NAME, Ledger
from store.pack.archive import refuse_target
from store.pack.checkpoint import Signed, all_kept, keep_checkpoint
from store.pack.taken import take_branch_checkpoints
from store.photos import PhotoVault
from store.proving.kept import FOLDERS
from store.verify import check_kept

Progress = Callable[[int, int, str], None]
_FILES, _VERIFIED = 70, 99  # of 100 steps


class Copied(Struct, frozen=True):
    """What was copied: how many entries and files are new in the copy, and who writes to it.

    ``missing`` says what the book itself lacks, a photo that is gone, say.
    """

    target: Path
    entries: int
    files: int
    bench: str
    missing: tuple[Finding, ...] = ()


class _Moment(Struct, frozen=True):
    """What lies beside the ledger at the moment of its copy."""

    entries: tuple[Entry, ...]
    heads: str
    checkpoints: dict[str, tuple[Signed, ...]]


def copy_book(
    book: Book,
    target: Path,
    *,
    at: str,
    by: str,
    bench: str = "",
    progress: Progress | None = None,
) -> Copied:
    """Copy a book to ``target``, or bring a copy that is there up to date; return what was new.

    ``bench`` is whose chain the copy will be written to, for a second bench; its chain begins with
    a record of the lines it began from. By default the copy goes on as the book does.
    ``progress`` is told (done, of 100, words). Raises BadAct for a target that is no older copy of
    this book or lies inside a book, BadRecord for a bench's name that is none, PhotoAltered and
    Damaged for what is not as it was, CannotWrite. Then a new copy is not there, and an older one
    is sound.
    """
    tell = progress or (lambda _done, _of, _words: None)
    target = target.absolute()
    if (target / FILE_NAME).is_file():
        return _update(book, target, bench, tell)
    _refuse_bench(book, bench)
    refuse_target(target)
    with _beside(target) as part:
        now = _start(book, part)
        files = _copy_files(book.root, part, tell)
        if bench or own_bench(book.root):
            note_bench(part, bench or own_bench(book.root))
        if bench:
            with Book.open(part) as copy:
                copy.append(record_of(now.entries), at=at, by=by)
        missing = _verified(part, tell)
    tell(100, 100, "done")
    return Copied(target, len(now.entries), files, bench or book.bench, missing)


def _refuse_bench(book: Book, bench: str) -> None:
    if bench and checked_bench(bench) in {entry.bench for entry in book.entries()}:
        raise BadAct(
            f"{bench} has a chain in this book already, and two copies that both go on with it are "
            "a fork: name the other bench otherwise."
        )


def _start(book: Book, part: Path) -> _Moment:
    """Write the ledger as it is at one moment, and what lies beside it."""
    ledger = Ledger(book.root, read_only=True)
    try:
        with ledger.reading():
            now = _moment(book.root, ledger)
            ledger.copy_to(part / FILE_NAME)
    finally:
        ledger.close()
    try:
        write_text(part / FORMAT_NAME, FORMAT_TEXT)
        write_text(part / HEADS_NAME, now.heads)
    except OSError as error:
        raise cannot_write(error, "the copy") from error
    _keep_checkpoints(part, now)
    return now


def _moment(root: Path, ledger: Ledger) -> _Moment:
    entries = tuple(decode(line) for _, line in ledger.lines())
    heads = root / HEADS_NAME
    return _Moment(
        entries,
        heads.read_text(encoding="utf-8", errors="replace") if heads.is_file() else "",
        all_kept(root),
    )


def _keep_checkpoints(target: Path, now: _Moment) -> None:
    for bench, kept in now.checkpoints.items():
        for each in kept:
            keep_checkpoint(target, bench, each)


def _update(book: Book, target: Path, bench: str, tell: Progress) -> Copied:
    """Add what an older copy lacks: files, then rows in one transaction, then heads."""
    if target.resolve() == book.root.resolve():
        raise BadAct(f"{target} is this book itself: name another folder.")
    check_local(target)
    with Book.open(target, bench=own_bench(target) or book.bench) as copy:
        if bench and bench != copy.bench:
            raise BadAct(f"{target} is {copy.bench}'s copy already: name another folder.")
        ours = book.entries()  # once: others may write meanwhile
        new = _newer(ours, copy.entries(), target)
        files = _copy_files(book.root, target, tell)
        if new:
            with copy.act(at="", by="") as act:
                if act.told.now != len(ours) - len(new):
                    raise BadAct(f"{target} was written to meanwhile: do it again.")
                for entry in new:
                    act.take(entry)
        ledger = Ledger(book.root, read_only=True)
        try:
            with ledger.reading():
                now = _moment(book.root, ledger)
        finally:
            ledger.close()
        _keep_checkpoints(target, _as_far_as(now, copy.entries()))
    missing = _verified(target, tell)
    tell(100, 100, "done")
    return Copied(target, len(new), files, copy.bench, missing)


def _newer(ours: tuple[Entry, ...], theirs: tuple[Entry, ...], target: Path) -> tuple[Entry, ...]:
    """Return the entries that an older copy lacks; raises BadAct for what is no older copy."""
    same = [entry.hash for entry in ours[: len(theirs)]] == [entry.hash for entry in theirs]
    if not same:
        raise BadAct(
            f"{target} is no older copy of this book: it holds entries that are not here, or in "
            "another order; take them in with benchproof merge, and copy to a new folder."
        )
    return ours[len(theirs) :]


def _as_far_as(now: _Moment, entries: tuple[Entry, ...]) -> _Moment:
    """Return the checkpoints that entries reach; one may have been made since they were read."""
    count: dict[str, int] = {}
    for entry in entries:
        count[entry.bench] = count.get(entry.bench, 0) + 1
    kept = {
        bench: tuple(each for each in signed if int(each.name[:9]) <= count.get(bench, 0))
        for bench, signed in now.checkpoints.items()
    }
    return _Moment(now.entries, now.heads, kept)


def _copy_files(source: Path, target: Path, tell: Progress) -> int:
    """Copy every photo and paper that the target lacks, and the forks; return how many files."""
    branches = sorted((source / FORKS).glob("*"))
    roots = [(source, target), *((each, target / FORKS / each.name) for each in branches)]
    wanted = [
        (file, to, folder.name)
        for root, to in roots
        for folder in FOLDERS
        for file in PhotoVault(root, folder.name).files()
        if file.photo is not None and file.photo not in PhotoVault(to, folder.name)
    ]
    check_room(target, sum(file.path.stat().st_size for file, _, _ in wanted), "the copy")
    for number, (file, to, folder) in enumerate(wanted):
        tell(_FILES * number // len(wanted), 100, f"copying file {number + 1} of {len(wanted)}")
        _make(to)
        kept, _ = PhotoVault(to, folder).put(file.path, file.suffix)
        if kept != file.photo:
            raise PhotoAltered(
                f"{file.path} is not what it was when it was kept, so no copy of it is made: run "
                "benchproof verify, and look in another copy."
            )
    _copy_forks(source, target)
    return len(wanted)


def _copy_forks(source: Path, target: Path) -> None:
    for branch in sorted((source / FORKS).glob("*")):
        take_branch_checkpoints(branch, target / branch.relative_to(source))
    for path in sorted((source / FORKS).glob("*/*.jsonl")):
        to = target / path.relative_to(source)
        if to.is_file() and to.read_bytes() == path.read_bytes():
            continue
        _make(to.parent)
        try:
            replace_file(to, path.read_bytes())
        except OSError as error:
            raise cannot_write(error, "the copy") from error


def _make(folder: Path) -> None:
    try:
        make_folder(folder)
    except OSError as error:
        raise cannot_write(error, "the copy") from error


def _verified(root: Path, tell: Progress) -> tuple[Finding, ...]:
    """Return what is missing in a copy; raises Damaged for anything in it that is not as it was.

    Raises CannotRead where it could not be read now.
    """
    tell(_FILES, 100, "verifying the copy")
    found = check_kept(root)
    tell(_VERIFIED, 100, "verifying the copy")
    if not_read := unread(found):
        raise CannotRead(
            f"the copy could not be verified ({not_read[0].where}: {not_read[0].detail})."
        )
    wrong = [finding for finding in found if finding.severity == "altered"]
    if wrong:
        raise Damaged(
            f"the copy is not sound ({wrong[0].where}: {wrong[0].detail}): run benchproof verify "
            "on the book itself."
        )
    return tuple(found)


@contextmanager
def _beside(target: Path) -> Iterator[Path]:
    """Give a new folder that is renamed to ``target`` when the block ends without an error."""
    try:
        with passing_name(target) as part:
            part.mkdir()
            with held(part):
                yield part
                refuse_target(target)
                part.rename(target)
                sync_folder(target.parent)
    except OSError as error:
        raise cannot_write(error, "the copy") from error
