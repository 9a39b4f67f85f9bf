"""Check the files beside the ledger: photos and papers, each named by its SHA-256."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from store.branches.chains import where
from store.codec import Entry
from store.evidence import PaperKept, PhotoTaken
from store.files.notice import FORMAT_NAME
from store.files.passing import is_passing
from store.files.whose import BENCH_NAME
from store.finding import Finding, Found, not_read
from store.ledger import FILE_NAME, HEADS_NAME, WRITER_NAME
from store.photos import PhotoVault, VaultFile, hash_file

Placed = list[tuple[int, Entry]]
_HASHING_THREADS = 2  # hashlib lets go of the interpreter; a third does not pay on a bench's disk


class Filed(NamedTuple):
    """What an entry says of the file it names."""

    digest: str
    suffix: str
    bytes_count: int


class Folder(NamedTuple):
    """One of a book's two folders of files: its name, and what one of its files is called."""

    name: str
    noun: str


FOLDERS = (Folder("photos", "photo"), Folder("papers", "paper"))


_UNDECODED = (
    "its picture could not be decoded now, as it was when it was filed, so its size is not held "
    "against it: close other programs, and try again"
)
_OF_A_BOOK = {
    FILE_NAME, f"{FILE_NAME}-journal", HEADS_NAME, WRITER_NAME, FORMAT_NAME, BENCH_NAME,
    "index.db", "index.db-journal", *(folder.name for folder in FOLDERS), "checkpoints",
    "forks",
}  # fmt: skip


def check_strangers(root: Path, end: int) -> Found:
    """Find what lies in a book's folder and is none of the book's: it is evidence of nothing."""
    for path in sorted(root.iterdir()):
        # A name that begins with a dot is a passing one, of what is being made.
        if path.name not in _OF_A_BOOK and not path.name.startswith("."):
            detail = "this is nothing of the book's: no entry says where it came from"
            yield end, Finding("note", "book-stranger", path.name, detail)


def count_files(root: Path) -> int:
    """Return how many files there are to be hashed."""
    return sum(1 for folder in FOLDERS for _ in PhotoVault(root, folder.name).files())


def check_files(root: Path, entries: Placed, tell: Callable[[], None]) -> Found:
    """Find files that are missing, changed, or not what their entries say.

    Two are hashed at a time. ``tell`` is called once for every file.
    """
    for folder in FOLDERS:
        yield from _check_folder(root, folder, entries, tell)


def _check_folder(root: Path, folder: Folder, entries: Placed, tell: Callable[[], None]) -> Found:
    there: dict[str, tuple[str, int]] = {}
    named = {filed.digest for _, e in entries if (filed := _filed(e, folder))}
    for file, now in hashed(PhotoVault(root, folder.name).files()):
        tell()
        if file.photo is not None:
            there[file.photo] = (file.suffix, file.path.stat().st_size)
        for finding in _file_findings(root, folder, file, now, named):
            yield len(entries), finding
    for place, entry in entries:
        filed = _filed(entry, folder)
        if filed is not None:
            for finding in _entry_findings(folder, where(entry), filed, there):
                yield place, finding


def check_sizes(
    root: Path, entries: Placed, size: Callable[[Path], tuple[int, int] | None]
) -> Found:
    """Find photos whose entry claims another size in pixels than the picture has.

    ``size`` gives that of the upright picture in a file, None for one that can't be shown: where
    one was shown when it was filed, it could not be looked at now.
    """
    vault = PhotoVault(root)
    known: dict[str, tuple[int, int] | None] = {}
    for place, entry in entries:
        record = entry.evidence
        if not isinstance(record, PhotoTaken) or record.photo not in vault:
            continue
        if record.photo not in known:
            known[record.photo] = size(vault.path(record.photo))
        actual, claimed = known[record.photo], (record.width_px, record.height_px)
        if actual is None and all(claimed):
            yield place, Finding("unread", "photo-undecoded", where(entry), _UNDECODED)
        elif actual is not None and claimed != actual:
            said = " x ".join(str(side) for side in claimed) if all(claimed) else "no size"
            detail = f"filed as {said} pixels, the picture has {actual[0]} x {actual[1]}"
            yield place, Finding("altered", "photo-pixels", where(entry), detail)


def _filed(entry: Entry, folder: Folder) -> Filed | None:
    record = entry.evidence
    if folder.noun == "photo" and isinstance(record, PhotoTaken):
        return Filed(record.photo, record.suffix, record.bytes_count)
    if folder.noun == "paper" and isinstance(record, PaperKept):
        return Filed(record.paper, record.suffix, record.bytes_count)
    return None


def hashed(files: Iterable[VaultFile]) -> Iterator[tuple[VaultFile, str | OSError]]:
    """Yield each file with its SHA-256, or with why it can't be read, in order.

    One that is no file of a book's has an empty one.
    """
    with ThreadPoolExecutor(_HASHING_THREADS) as pool:
        waiting = [(file, pool.submit(_hash, file)) for file in files]
        try:
            for file, digest in waiting:
                yield file, digest.result()
        finally:
            for _, digest in waiting:
                digest.cancel()


def _hash(file: VaultFile) -> str | OSError:
    try:
        return hash_file(file.path) if file.photo is not None else ""
    except OSError as error:
        return error


def _file_findings(
    root: Path, folder: Folder, file: VaultFile, now: str | OSError, named: set[str]
) -> Iterator[Finding]:
    name, noun = file.path.relative_to(root).as_posix(), folder.noun
    if file.photo is None:
        yield Finding("note", f"{noun}-stranger", name, "this is not a file of the book's")
    elif isinstance(now, OSError) and is_passing(now):
        yield not_read(now, name)
    elif isinstance(now, OSError):
        yield Finding("damaged", f"{noun}-unreadable", name, f"{now.strerror}")
    elif now != file.photo:
        yield Finding("altered", f"{noun}-altered", name, "the bytes are not those it had")
    elif file.photo not in named:
        yield Finding("note", f"{noun}-unfiled", name, f"no entry names this {noun}")


def _entry_findings(
    folder: Folder, entry: str, filed: Filed, there: dict[str, tuple[str, int]]
) -> Iterator[Finding]:
    noun = folder.noun
    if filed.digest not in there:
        yield Finding("damaged", f"{noun}-missing", entry, f"the {noun} {filed.digest} is gone")
        return
    suffix, size = there[filed.digest]
    if filed.bytes_count != size:
        detail = f"{filed.bytes_count} bytes, the file has {size}"
        yield Finding("altered", f"{noun}-size", entry, detail)
    if filed.suffix != suffix:
        detail = f"filed as {filed.suffix}, kept as {suffix}"
        yield Finding("altered", f"{noun}-suffix", entry, detail)
