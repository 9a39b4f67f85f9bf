"""What a bench can hand out that a book is held to later: roots of its chains, and its keys."""

from pathlib import Path

from msgspec import Struct

from store.book import Book
from store.errors import BadPack, Damaged
from store.pack.checkpoint import Checkpoint, all_kept, parse_checkpoint, root_of
from store.pack.job_closed import is_closed
from store.pack.signing_key import KEY_NAME, read_key
from store.signing.certificate import KEY_NAME as REPORT_KEY_NAME
from store.signing.certificate import read_report_key


class KeptRoot(Struct, frozen=True):
    """The newest checkpoint kept of one chain; ``later`` counts its entries written since."""

    bench: str
    entries: int
    root: str
    later: int


class Vouched(Struct, frozen=True):
    """What to send out of the shop. ``key`` and ``certificate`` are empty until there are any.

    ``trouble`` says what could not be kept or made just now, and why.
    """

    job: str
    engine: str
    closed: bool
    roots: tuple[KeptRoot, ...]
    key: str = ""
    certificate: str = ""
    trouble: str = ""


def vouched(book: Book, keys: Path, trouble: str = "") -> Vouched:
    """Return what is kept of a book and of the keys in a folder; nothing is made or written.

    Raises Damaged where a checkpoint is not of these lines, BadKey.
    """
    pack, report = keys / KEY_NAME, keys / REPORT_KEY_NAME
    return Vouched(
        book.plan.job.number,
        book.plan.job.engine,
        is_closed(book),
        _kept_roots(book),
        read_key(pack).public.fingerprint if pack.exists() else "",
        read_report_key(report).certificate.fingerprint if report.exists() else "",
        trouble,
    )


def untold(book: Book, trouble: str) -> Vouched:
    """Return that nothing of a book can be told, and why."""
    job = book.plan.job
    return Vouched(job.number, job.engine, is_closed(book), (), trouble=trouble)


def _kept_roots(book: Book) -> tuple[KeptRoot, ...]:
    """Return the newest kept checkpoint of each chain that has one, held against its lines."""
    try:
        kept = all_kept(book.root)
        with book.still():
            chains: dict[str, dict[int, str]] = {}
            for entry in book.entries():
                chains.setdefault(entry.bench, {})[entry.seq] = entry.hash
        found = []
        for bench, by_number in chains.items():
            hashes = [by_number[number] for number in sorted(by_number)]
            newest = kept.get(bench, ())[-1:]
            found += [_held(bench, parse_checkpoint(each.text), hashes) for each in newest]
    except (BadPack, OSError) as error:
        raise Damaged(f"{error}. Run verify, and go back to a sound copy.") from error
    return tuple(found)


def _held(bench: str, kept: Checkpoint, hashes: list[str]) -> KeptRoot:
    """Return a checkpoint as it is told; raises BadPack where it is of other lines."""
    if root_of(hashes[: kept.entries]) != kept.root:
        raise BadPack(f"the lines of {bench} are not those that its checkpoint was made of")
    return KeptRoot(bench, kept.entries, kept.root, len(hashes) - kept.entries)
