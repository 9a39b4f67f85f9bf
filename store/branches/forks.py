"""Other histories of a bench, as merges found them: kept whole beside the book, counting nothing.

forks/BENCH-HASH/ledger.jsonl   the other copy's lines from the first that contradicts one here, in
                                the order in which they arrived there
forks/BENCH-HASH/photos, papers  the files that those lines name

BENCH and HASH are of that first line. Its place in the ledger is the record of the merge.
"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from store.branches.chains import Line, read_line
from store.branches.views import Placed
from store.codec import Entry, hash_of
from store.errors import Damaged
from store.evidence import Head, Merged, PaperKept, PhotoTaken
from store.files.disk import cannot_write, make_folder
from store.files.halfmade import replace_file
from store.files.whose import BENCH_NAME, own_bench
from store.finding import Finding, Found
from store.ledger import FILE_NAME
from store.photos import PhotoVault, hash_file

FOLDER, LINES = "forks", "ledger.jsonl"
_HASH_DIGITS = 16
_LARGEST_BYTES = 400_000_000  # a stranger's pack is looked at too


def fork_folder(root: Path, fork: Head) -> Path:
    """Return where a fork that begins with this line is kept in a book."""
    return root / FOLDER / f"{fork.bench}-{fork.hash[:_HASH_DIGITS]}"


def recorded_forks(entries: Iterable[Entry]) -> dict[Head, Entry]:
    """Return the forks that merges have told of, each with the first entry that does."""
    found: dict[Head, Entry] = {}
    for entry in entries:
        if isinstance(entry.evidence, Merged) and entry.evidence.fork is not None:
            found.setdefault(entry.evidence.fork, entry)
    return found


def named_ends(entries: Iterable[Entry]) -> dict[Head, set[Head]]:
    """Return the lines that merges have named as the last ones of each fork's branch then."""
    found: dict[Head, set[Head]] = {}
    for entry in entries:
        if isinstance(entry.evidence, Merged) and entry.evidence.fork is not None:
            found.setdefault(entry.evidence.fork, set()).update(entry.evidence.branch)
    return found


def is_news(root: Path, fork: Head, branch: Iterable[Entry], known: Sequence[Entry]) -> bool:
    """Return whether a branch that is kept has work in it that no merge has told of.

    ``known`` are the entries here. Lines that only tell of a merge are no work: they would go back
    and forth for ever.
    """
    ends = {head.hash for head in named_ends(known).get(fork, set())}
    told: set[str] = set()
    for rows in _kept_lines(root, fork):
        hashes = [row.hash for row in rows]
        last = max((at for at, each in enumerate(hashes) if each in ends), default=-1)
        told.update(hashes[: last + 1])
    work = [each for each in branch if not isinstance(each.evidence, Merged)]
    return fork not in recorded_forks(known) or any(each.hash not in told for each in work)


def keep_fork(root: Path, fork: Head, lines: list[bytes]) -> int:
    """Keep the lines of a fork and return how many of them are new here.

    Lines that were kept before stay: a copy that has gone on since adds to them, and one that went
    on otherwise gets a file of its own beside. Raises CannotWrite.
    """
    folder = fork_folder(root, fork)
    text = b"".join(lines)
    try:
        for path in sorted(folder.glob("*.jsonl")):
            kept = path.read_bytes()
            if kept.startswith(text):
                return 0
            if text.startswith(kept):
                _write(path, text)
                return len(lines) - kept.count(b"\n")
        is_first = not (folder / LINES).exists()
        name = LINES if is_first else f"ledger-{hash_of(text)[:_HASH_DIGITS]}.jsonl"
        _write(folder / name, text)
    except OSError as error:
        raise cannot_write(error, "the other branch of the fork") from error
    return len(lines)


def files_named(entries: Iterable[Entry]) -> dict[tuple[str, str], str]:
    """Return the suffix of every file that entries name, by folder and id."""
    found: dict[tuple[str, str], str] = {}
    for entry in entries:
        match entry.evidence:
            case PhotoTaken(photo=photo, suffix=suffix):
                found.setdefault(("photos", photo), suffix)
            case PaperKept(paper=paper, suffix=suffix):
                found.setdefault(("papers", paper), suffix)
    return found


def check_forks(root: Path, placed: Placed) -> Found:
    """Find the forks that merges told of, and what is wrong in the branches kept beside the book.

    A pack takes the branches along unless lines were left out of it: then they stay at the bench.
    """
    told = recorded_forks(entry for _, entry in placed)
    places = {entry.hash: place for place, entry in placed}
    is_book = (root / FILE_NAME).is_file()
    own = ""
    try:
        own = own_bench(root) or (placed[0][1].bench if placed else "")
    except Damaged as error:
        yield len(placed), Finding("damaged", "bench-unreadable", BENCH_NAME, str(error))
    for fork, entry in told.items():
        yield places[entry.hash], Finding(
            "note", "fork", f"{fork.bench} {fork.seq}",
            f"FORK: another copy of {fork.bench} went on otherwise from entry {fork.seq}; nothing "
            "of that branch counts here, and it is kept in "
            f"{fork_folder(Path(), fork).as_posix()}",
        )  # fmt: skip
        if not (fork_folder(root, fork) / LINES).is_file():
            yield places[entry.hash], _missing(fork, is_own=is_book and entry.bench == own)
    known = {entry.hash for _, entry in placed}
    begun = {fork_folder(root, fork): fork for fork in told}
    ends = named_ends(entry for _, entry in placed)
    for folder in sorted((root / FOLDER).glob("*")):
        fork_there = begun.get(folder)
        named = ends[fork_there] if fork_there else set()
        yield from _check_folder(root, folder, fork_there, known, named, len(placed))


def _missing(fork: Head, *, is_own: bool) -> Finding:
    name = f"{fork.bench} {fork.seq}"
    if is_own:
        return Finding("damaged", "fork-missing", name, "the other branch that was kept is gone")
    detail = "the other branch is kept by the bench that found it, and is not here"
    return Finding("note", "fork-elsewhere", name, detail)


def take_forks(root: Path, source: Path, entries: Iterable[Entry]) -> None:
    """Keep the branches that another copy of a book keeps, for the forks that entries tell of."""
    for fork in recorded_forks(entries):
        for path in sorted(fork_folder(source, fork).glob("*.jsonl")):
            keep_fork(root, fork, path.read_bytes().splitlines(keepends=True))


def branch_entries(root: Path, fork: Head) -> list[Entry]:
    """Return the entries of a branch that is kept, as far as they can be read."""
    rows = (row for rows in _kept_lines(root, fork) for row in rows)
    return [row.entry for row in rows if row.entry is not None]


def _kept_lines(root: Path, fork: Head) -> Iterator[list[Line]]:
    """Yield the lines of each file of a branch that is kept."""
    for path in sorted(fork_folder(root, fork).glob("*.jsonl")):
        lines = path.read_bytes().splitlines(keepends=True)
        yield [read_line("", number, "", line) for number, line in enumerate(lines, start=1)]


def _check_folder(
    root: Path, folder: Path, fork: Head | None, known: set[str], named: set[Head], end: int
) -> Found:
    name = folder.relative_to(root).as_posix()
    if fork is None:
        detail = "no entry tells of this branch: a merge that broke off may have left it"
        yield end, Finding("note", "fork-unfiled", name, detail)
        return  # what it follows may not be here yet
    there: set[str] = set()
    paths = sorted(folder.glob("*.jsonl"))
    for path in paths:
        entries: list[Entry] = []
        for why in _wrong_lines(path, fork, known, entries):
            where = path.relative_to(root).as_posix()
            yield end, Finding("altered", "fork-changed", where, why)
        for finding in _wrong_files(folder, name, entries):
            yield end, finding
        there.update(entry.hash for entry in entries)
    for head in sorted(named, key=lambda head: (head.bench, head.seq)):
        if paths and head.hash not in there:
            detail = f"a merge has named entry {head.seq} of {head.bench} in it, and it is gone"
            yield end, Finding("altered", "fork-cut", name, detail)


def _wrong_lines(path: Path, fork: Head, known: set[str], entries: list[Entry]) -> Iterator[str]:
    """Yield what is wrong with a branch's lines, and add those that can be read to ``entries``."""
    if path.stat().st_size > _LARGEST_BYTES:
        yield f"it is larger than {_LARGEST_BYTES} bytes"
        return
    there, lines = set(known), path.read_bytes().splitlines(keepends=True)
    if not lines:
        yield "its lines are gone"
    for number, line in enumerate(lines, start=1):
        row = read_line("", number, "", line)
        if number == 1 and row.hash != fork.hash:
            yield "its first line is not the one that the merge told of"
        if row.entry is None:
            yield f"line {number} is not a record: {row.refused}"
        elif row.entry.seq > 1 and row.prev not in there:
            yield f"line {number} follows what is not there: changed, dropped or moved"
        else:
            entries.append(row.entry)
        there.add(row.hash)


def _wrong_files(folder: Path, name: str, entries: list[Entry]) -> Iterator[Finding]:
    for kind, digest in files_named(entries):
        vault = PhotoVault(folder, kind)
        if digest not in vault:
            # One that the book itself has is not kept twice.
            if digest not in PhotoVault(folder.parents[1], kind):
                yield Finding("damaged", "fork-file-missing", name, f"the file {digest} is gone")
        elif hash_file(vault.path(digest)) != digest:
            yield Finding("altered", "fork-file-altered", name, f"{digest[:12]} was changed")


def _write(path: Path, content: bytes) -> None:
    """Write a file whole or not at all, and durably, with the folders that it needs."""
    make_folder(path.parent)
    replace_file(path, content)
