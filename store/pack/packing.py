"""Book -> pack. The order: choose, sign, set the report, hash, keep the checkpoint, write, rename.

The checkpoint is kept in the book just before the pack appears under its name: a pack in somebody's
hand always has its checkpoint at the bench, and one that was stopped leaves nothing but, at worst,
that one true line.
"""

import re
from collections.abc import Callable, Iterable
from pathlib import Path

from msgspec import Struct, structs

from store.book import Book
from store.errors import PackStopped
from store.files.halfmade import Scratch
from store.pack import bag, chain_files, instructions
from store.pack.archive import Sink, check_pack_room, refuse_target, written
from store.pack.checkpoint import Signed, all_kept, keep_checkpoint, parse_checkpoint
from store.pack.contents import (
    REPORT,
    REPORT_PAGE,
    SIGNERS,
    Choice,
    choose,
    file_pieces,
    fork_pieces,
    page_pieces,
    told_pieces,
)
from store.pack.own_keys import OwnKeys
from store.pack.pieces import Piece, hashed
from store.pack.set_with import set_with
from store.pack.signature import parse_signature, sign
from store.pack.signers import signers_text
from store.pack.signing_key import PublicKey, SigningKey
from store.report.document import Paper, write_report
from store.report.page.writing import write_page
from store.report.typeset import ReportStopped
from store.signing.certificate import CERTIFICATE_NAME

Progress = Callable[[int, int, str], None]
Stop = Callable[[], bool]
Kept = dict[str, tuple[Signed, ...]]
_REPORT_SHARE, _PDF_SHARE = 20, 12  # of 100 steps; the PDF's are of the report's
_HASH_SHARE = 40


class Order(Struct, frozen=True):
    """What a pack is to be: its time (ISO 8601 with offset), its maker, what stays at the bench."""

    at: str
    version: str
    leave_out: tuple[str, ...] = ()
    paper: Paper = "a4"


def write_pack(
    book: Book,
    target: Path,
    *,
    at: str,
    version: str,
    keys: OwnKeys,
    leave_out: Iterable[str] = (),
    paper: Paper = "a4",
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Path:
    """Write a pack of a book and return its path: a zip, or a folder if ``target`` is no ".zip".

    The same book, keys, time and version give the same bytes. ``leave_out`` cites entries whose
    lines stay at the bench (their hashes go along); both forms of the report are left out then too.
    ``progress`` is told (done, of, words); ``stop`` is asked between steps and ends it.
    A checkpoint of every chain is kept in the book, so the book must be one that can be written to.

    Raises BadAct, NoSuchEntry, Damaged, PhotoMissing and PhotoAltered for what can't be packed,
    ReportFailed, CannotWrite, PackStopped; then nothing is left behind.
    """
    order, steps = Order(at, version, tuple(leave_out), paper), _Steps(progress, stop)
    refuse_target(target)
    steps.go(0, "choosing what goes in")
    kept = all_kept(book.root)
    # Others may write meanwhile: lines, report and page must be of one moment.
    with book.still():
        _pack(book, target, order, keys, kept, steps)
    steps.tell(100, "done")
    return target


def _pack(
    book: Book, target: Path, order: Order, keys: OwnKeys, kept: Kept, steps: "_Steps"
) -> None:
    key = keys.pack
    choice = choose(book, order.leave_out)
    now = chain_files.new_checkpoints(choice.entries, _job_number(book), key)
    with Scratch("pack") as scratch:
        reports = () if choice.left_out else _reports(book, scratch, order, keys, steps)
        payload = _payload(book, choice, now, kept, reports, order, keys)
        check_pack_room(target, payload)
        hashes = _hash(payload, steps)
        tags = _tags(book, payload, hashes, order, key, has_report=bool(reports))
        with written(target, _top(book), order.at) as sink:
            _write(sink, [*payload, *tags], hashes, steps)
            steps.go(99, "keeping the checkpoint")
            for bench, each in now.items():
                keep_checkpoint(book.root, bench, each)


class _Steps:
    """Tells how far it is, in hundredths, and stops where it is asked to."""

    def __init__(self, progress: Progress | None, stop: Stop | None) -> None:
        self._progress, self._stop = progress, stop

    def wanted_no_more(self) -> bool:
        """Return whether the user wants it to end."""
        return self._stop is not None and self._stop()

    def go(self, done: float, words: str) -> None:
        """Tell where it is; raises PackStopped if the user wants it to end."""
        if self.wanted_no_more():
            raise PackStopped("the pack was stopped and not written; the book is as it was")
        self.tell(done, words)

    def tell(self, done: float, words: str) -> None:
        """Tell where it is."""
        if self._progress is not None:
            self._progress(int(done), 100, words)


def _reports(
    book: Book, scratch: Path, order: Order, keys: OwnKeys, steps: _Steps
) -> tuple[Path, ...]:
    """Write the report as a signed PDF and as a page, and return both."""

    def told(begin: float, end: float, name: str) -> Progress:
        return lambda done, of, words: steps.go(
            begin + (end - begin) * done / max(of, 1), f"{name}: {words}"
        )

    try:
        pdf = write_report(
            book, scratch / REPORT, at=order.at, version=order.version, paper=order.paper,
            signer=keys.signer, progress=told(0, _PDF_SHARE, "report"), stop=steps.wanted_no_more,
        )  # fmt: skip
        page = write_page(
            book, scratch / REPORT_PAGE, at=order.at, version=order.version,
            signer=keys.signer, progress=told(_PDF_SHARE, _REPORT_SHARE, "page"),
            stop=steps.wanted_no_more,
        )  # fmt: skip
    except ReportStopped:
        steps.go(0, "")  # says what was stopped: the pack
        raise
    return pdf, page


def _payload(
    book: Book,
    choice: Choice,
    now: dict[str, Signed],
    kept: Kept,
    reports: tuple[Path, ...],
    order: Order,
    keys: OwnKeys,
) -> list[Piece]:
    """Return every file below ``data/``, in order of the path."""
    key, certificate = keys.pack, keys.report.certificate
    older = _older_keys(kept, now, key)
    pieces = [
        *file_pieces(book, choice),
        *(branches := fork_pieces(book, choice)),
        *chain_files.chain_pieces(choice.entries, choice.left_out, now, kept),
        *told_pieces(choice),
        *page_pieces(reports),
        Piece(SIGNERS, signers_text(tuple(now), (key.public, *older)).encode()),
    ]
    if reports:
        pieces.append(Piece(CERTIFICATE_NAME, certificate.pem.encode("ascii")))
    facts = instructions.Facts(
        job=_job_number(book),
        shop=book.plan.job.shop,
        at=order.at,
        fingerprint=key.public.fingerprint,
        older_keys=tuple(each.fingerprint for each in older),
        checkpoints=tuple(parse_checkpoint(each.text) for each in now.values()),
        left_out=len(choice.left_out),
        certificate=certificate.fingerprint if reports else "",
        has_forks=bool(branches),
    )
    pieces.append(Piece(instructions.NAME, instructions.how_to_check(facts).encode()))
    placed = [structs.replace(piece, path=f"{bag.DATA}/{piece.path}") for piece in pieces]
    return sorted(placed, key=lambda piece: piece.path)


def _older_keys(kept: Kept, now: dict[str, Signed], key: SigningKey) -> tuple[PublicKey, ...]:
    """Return the keys of earlier checkpoints that were made with another key than this one's."""
    keys = {
        parse_signature(older.signature).key: None for bench in now for older in kept.get(bench, ())
    }
    return tuple(each for each in keys if each != key.public)


def _hash(payload: list[Piece], steps: _Steps) -> dict[str, str]:
    found = {}
    for number, (piece, digest) in enumerate(hashed(payload), start=1):
        found[piece.path] = digest
        words = f"hashing file {number} of {len(payload)}"
        steps.go(_REPORT_SHARE + _HASH_SHARE * number / len(payload), words)
    return found


def _tags(
    book: Book,
    payload: list[Piece],
    hashes: dict[str, str],
    order: Order,
    key: SigningKey,
    *,
    has_report: bool,
) -> list[Piece]:
    """Return the files beside ``data/``, and add their hashes."""
    job = book.plan.job
    label = bag.Label(
        order.at, job.shop, _job_number(book), job.engine, order.version, key.public.fingerprint,
        (order.paper, set_with(order.version)) if has_report else None,
    )  # fmt: skip
    sizes = {piece.path: piece.bytes_count for piece in payload}
    tags = bag.tag_pieces(label, sizes, bag.manifest(hashes))
    tags.append(_signature(tags[-1], key))
    of_tags = {piece.path: digest for piece, digest in hashed(tags)}
    listed = Piece(bag.TAG_MANIFEST_NAME, bag.manifest(of_tags).encode())
    last = [listed, _signature(listed, key)]
    hashes |= of_tags | {piece.path: digest for piece, digest in hashed(last)}
    return [*tags, *last]


def _signature(piece: Piece, key: SigningKey) -> Piece:
    message = b"".join(piece.chunks())
    return Piece(bag.signature_name(piece.path), sign(message, key).encode())


def _write(sink: Sink, pieces: list[Piece], hashes: dict[str, str], steps: _Steps) -> None:
    begin = _REPORT_SHARE + _HASH_SHARE
    for number, piece in enumerate(pieces):
        words = f"writing file {number + 1} of {len(pieces)}"
        steps.go(begin + (99 - begin) * number / len(pieces), words)
        sink.put(piece, hashes[piece.path])


def _job_number(book: Book) -> str:
    """Return the number that the job began with: what every checkpoint of it names."""
    return book.told.start.plan.job.number


def _top(book: Book) -> str:
    """Return the name of the one folder in a zip: the job's number in plain letters."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", _job_number(book)).strip("-")[:40]
    return f"pack-{plain}" if plain else "pack"
