"""A job is closed when its last open hold point is: then a checkpoint is kept, as with a pack.

The root that is told then is worth writing down, or sending to the customer, at once: whoever has
it outside the shop can later see that nothing before it was rewritten.
"""

from pathlib import Path

from msgspec import Struct

from store.book import Book
from store.codec import decode_own, hash_of
from store.errors import Damaged
from store.evidence import JobStarted
from store.ledger import Ledger
from store.pack.checkpoint import Checkpoint, checkpoint_of, keep_checkpoint, signed
from store.pack.signing_key import SigningKey


class JobClosed(Struct, frozen=True):
    """The checkpoints that were kept, one for each chain, and the fingerprint of their key."""

    checkpoints: tuple[Checkpoint, ...]
    fingerprint: str


def is_closed(book: Book) -> bool:
    """Return whether the job has hold points and every one of them is closed now."""
    told = book.told
    holds = told.plan.hold_points
    return bool(holds) and all(told.closed(hold.id) for hold in holds)


def keep_closing(root: Path, key: SigningKey) -> JobClosed:
    """Keep a signed checkpoint of every chain of a book whose job is closed; return what was kept.

    The lines are hashed and not read: a large book closes as fast as a small one. Raises Damaged,
    CannotWrite.
    """
    ledger = Ledger(root, read_only=True)
    try:
        rows = list(ledger.rows())
    finally:
        ledger.close()
    start = decode_own(rows[0][3]).evidence
    if not isinstance(start, JobStarted):
        raise Damaged(f"{root}: the plan is not first; run verify, and go back to a sound copy.")
    chains: dict[str, list[tuple[int, str]]] = {}
    for bench, seq, _, line in rows:
        chains.setdefault(bench, []).append((seq, hash_of(line)))
    kept = []
    for bench, chain in chains.items():
        hashes = [digest for _, digest in sorted(chain)]
        kept.append(checkpoint_of(bench, start.plan.job.number, hashes))
        keep_checkpoint(root, bench, signed(kept[-1], key))
    return JobClosed(tuple(kept), key.public.fingerprint)
