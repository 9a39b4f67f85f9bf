"""Check a book: re-hash, re-chain, re-measure, and say everything that is wrong.

What it can't show: whoever holds the folder could write all of it anew, heads.txt included, with
marks of his own making. Only copies and hashes that left the bench earlier rule that out.
"""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from store.branches.chains import Line, check_chain, check_heads, check_lines, read_line
from store.branches.forks import check_forks
from store.branches.views import View, views
from store.errors import CannotWrite, DiskFailed, PhotoMissing, StoreError
from store.evidence import JobStarted, Read
from store.files.notice import FORMAT_NAME, FORMAT_TEXT
from store.files.passing import is_passing
from store.files.plain_folder import not_plain
from store.finding import Finding, Found, not_read, unread
from store.ledger import FILE_NAME, HEADS_NAME, Ledger
from store.photos import PhotoVault
from store.plan import Plan
from store.proving.citations import check_citations, check_closings, check_verdicts
from store.proving.kept import Placed, check_files, check_sizes, check_strangers, count_files
from store.proving.permitted import check_permitted
from store.proving.recomputed import Measure, Recomputing, Tools
from store.proving.refinding import moved_marks

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from annotate.marks import Layer

Progress = Callable[[int, int], None]
_NOT_PLAIN = (
    "it is a link, a pipe or a device, and a book holds plain files and folders only: nothing was "
    "looked at"
)


def verify(
    root: Path,
    *,
    version: str = "",
    decode: "Callable[[Path], npt.NDArray[np.uint8] | None] | None" = None,
    reparse: Callable[[Plan, Read], Read | None] | None = None,
    progress: Progress | None = None,
    measure: Measure | None = None,
    size: Callable[[Path], tuple[int, int] | None] | None = None,
    moved: "Callable[[npt.NDArray[np.uint8], Layer], list[str]]" = moved_marks,
) -> list[Finding]:
    """Return every finding, oldest first; empty if the book is sound.

    What could not be read now is "unread" and no more is said of it.

    ``version`` is this program's; without it a number that comes out otherwise counts as altered
    whoever made it. ``decode`` gives the upright picture in a photo's file (None: it can't be
    shown); without it marks that were found in photos are not looked for again, which is said in
    a note. ``reparse`` reads a reading's text again under a plan (None: refused); without it the
    text is not read again. ``size`` gives the (width, height) of that picture; without it the
    size that an entry claims is believed. ``measure`` is annotate's own if not given, and so is
    ``moved``, which looks for found marks. ``progress`` is told (done, of) after each photo and
    each entry. Nothing in the book is written to, except that
    an entry which a crash left half written is taken back. Raises CannotWrite where that can't be
    done, on read-only media, and Busy: then nothing can be said of the book.
    """
    found: list[tuple[int, Finding]] = []
    try:
        if strange := not_plain(root):
            return [Finding("damaged", "not-plain", name, _NOT_PLAIN) for name in strange]
        tools = Tools(measure or measure_coverage(), moved, decode, reparse, version, size)
        heads = _heads(root)
        lines = _read(root, found)
        if unread(finding for _, finding in found):
            return _ordered(found)  # what is there can't be held against lines that are not known
        entries = _entries_of(lines)
        found += survived(_check_chains(lines, heads), len(entries))
        found += survived(_check_notice(root, entries, version), len(entries))
        found += survived(check_strangers(root, len(entries)), len(entries))
        tell = _teller(progress, count_files(root) + len(entries))
        told = check_told(root, entries, tools, tell) if lines else check_files(root, entries, tell)
        found += survived(told, len(entries))
    except Exception as error:
        if isinstance(error, CannotWrite) or not is_passing(error):
            raise
        found.append((-1, not_read(error, root.name)))
    return _ordered(found)


def check_told(root: Path, entries: Placed, tools: Tools, tell: Callable[[], None]) -> Found:
    """Find what is wrong in the files below ``root`` and in what the entries say.

    That is everything but the lines themselves and their chains: files, citations, what may follow
    what, and every number worked out again. ``tell`` is called for every file and every entry.
    """
    yield from check_files(root, entries, tell)
    if tools.size is not None:
        yield from survived(check_sizes(root, entries, tools.size), len(entries))
    start = entries[0][1].evidence if entries and entries[0][0] == 0 else None
    if not isinstance(start, JobStarted):
        yield 0, Finding("altered", "plan-missing", FILE_NAME, "the plan is not first")
        return
    orders, wrong = views(entries)
    yield from wrong
    for view in orders:
        for check in (
            check_citations(view),
            check_permitted(view),
            check_verdicts(view),
            check_closings(view),
            _recompute(root, view, start, tools, tell),
        ):
            yield from survived(check, len(entries))
    yield from check_forks(root, entries)


def survived(found: Found, last: int) -> Found:
    """Yield findings; whatever an altered line brings about is one more, and no crash.

    What the machine alone brings about is told as that, and says nothing against any line.
    """
    try:
        yield from found
    except Exception as error:  # noqa: BLE001 - nothing that a line says may end the check
        if is_passing(error):
            yield last, not_read(error, "what the lines say")
            return
        detail = f"what the lines say can't be worked out again: {type(error).__name__}: {error}"
        yield last, Finding("altered", "lines-unworkable", "ledger", detail)


def check_kept(root: Path) -> list[Finding]:
    """Return what was altered or damaged as far as that shows without measuring anything again.

    That is the ledger's lines, its chains, the heads beside it, and the bytes of every photo. What
    could not be read now is among it, as "unread".
    """
    found: list[tuple[int, Finding]] = []
    heads = _heads(root)
    lines = _read(root, found)
    if unread(finding for _, finding in found):
        return _ordered(found)
    entries = _entries_of(lines)
    for checked in (
        _check_chains(lines, heads),
        check_files(root, entries, lambda: None),
        check_forks(root, entries),
    ):
        found += survived(checked, len(entries))
    return [each for each in _ordered(found) if each.severity in {"altered", "damaged", "unread"}]


def _ordered(found: list[tuple[int, Finding]]) -> list[Finding]:
    return [finding for _, finding in sorted(found, key=lambda placed: placed[0])]


def _entries_of(lines: list[Line]) -> Placed:
    return [(place, line.entry) for place, line in enumerate(lines) if line.entry]


def _check_chains(lines: list[Line], heads: str | OSError | None) -> Found:
    yield from check_lines(lines)
    yield from check_chain(lines)
    if isinstance(heads, OSError):
        raise heads
    yield from check_heads(lines, heads)


def _check_notice(root: Path, entries: Placed, version: str) -> Found:
    """Find a FORMAT.txt that is gone, or tells another way to check than the one it was made with.

    A copy has the text of the version that made it.
    """
    try:
        text = (root / FORMAT_NAME).read_bytes()
    except OSError as error:
        is_gone = Finding("damaged", "format-missing", FORMAT_NAME, "the file is gone")
        yield -1, not_read(error, FORMAT_NAME) if is_passing(error) else is_gone
        return
    start = entries[0][1].evidence if entries else None
    is_other = isinstance(start, JobStarted) and bool(version) and start.version != version
    if text != FORMAT_TEXT.encode():
        detail = "it is not the text that this version writes: do not check the book by it"
        yield (
            -1,
            Finding("differs" if is_other else "altered", "format-changed", FORMAT_NAME, detail),
        )


def measure_coverage() -> Measure:
    """Return what works a coverage out again, loaded only where something is."""
    from annotate.routes.accepted import measure  # noqa: PLC0415 - slow to load

    return measure


def _read(root: Path, found: list[tuple[int, Finding]]) -> list[Line]:
    """Return what can be read of the ledger, and add what SQLite has to say against it."""
    lines: list[Line] = []
    try:
        ledger = Ledger(root, read_only=not Ledger.was_cut_off(root))
    except DiskFailed as error:
        found.append((-1, not_read(error, FILE_NAME)))
        return lines
    except CannotWrite:
        raise
    except StoreError as error:
        found.append((-1, _unreadable(error)))
        return lines
    try:
        found += [
            (-1, Finding("damaged", "database-damaged", FILE_NAME, complaint))
            for complaint in ledger.complaints()
        ]
        for row in ledger.rows():
            lines.append(read_line(*row))  # noqa: PERF401 - what came before a damaged page is kept
    except StoreError as error:
        found.append((len(lines), _unreadable(error)))
    finally:
        ledger.close()
    if not lines and not found:
        found.append((-1, Finding("damaged", "ledger-empty", FILE_NAME, "there is no entry in it")))
    return lines


def _unreadable(error: StoreError) -> Finding:
    if is_passing(error):
        return not_read(error, FILE_NAME)
    return Finding("damaged", "ledger-unreadable", FILE_NAME, str(error))


def _heads(root: Path) -> str | OSError | None:
    """Return the heads that were noted, or why they can't be read, None if there are none.

    They are read before the lines: of a book that is written to meanwhile, those read after them
    may name lines that were not there yet, and would be called gone.
    """
    path = root / HEADS_NAME
    try:
        return path.read_text(encoding="utf-8", errors="replace") if path.is_file() else None
    except OSError as error:
        return error


def _recompute(
    root: Path,
    view: View,
    start: JobStarted,
    tools: Tools,
    tell: Callable[[], None],
) -> Found:
    vault = PhotoVault(root)

    def photo_path(photo: str) -> Path | None:
        try:
            return vault.path(photo)
        except (PhotoMissing, StoreError):
            return None

    work = Recomputing(start.version, tools, photo_path)
    for place, entry in view.placed:
        if place not in view.own:
            work.pass_over(entry)
            continue
        yield from work.check(place, entry)
        tell()
    end = len(view.placed)
    if view.is_last:
        yield from work.missing(end)
    if work.not_refound:
        yield end, Finding(
            "note", "marks-not-refound", f"{work.not_refound} photos",
            "marks found in the photo were measured again, but not looked for again in it",
        )  # fmt: skip


def _teller(progress: Progress | None, total: int) -> Callable[[], None]:
    done = 0

    def tell() -> None:
        nonlocal done
        done += 1
        if progress is not None:
            progress(done, total)

    return tell
