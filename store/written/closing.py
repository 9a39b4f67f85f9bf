"""Closing a hold point of a book whose standing was worked out before, without doing it again.

Where a hold point stands follows from the book's bytes alone. So what was worked out from the very
bytes that lie there under the write lock is what working it out again would give, and only then is
it used. Whatever is unusual (no such hold point, closed already, nothing known of these bytes)
gives None: the caller then goes the full way, which decides and has the words for it.
"""

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from store.codec import Entry
from store.errors import BadRecord
from store.evidence import Closed, CloseRefused
from store.files.disk import check_local
from store.files.whose import own_bench
from store.known.fingerprint import fingerprint
from store.known.hold_stands import HoldStands, Stands
from store.ledger import Ledger, Writer


class Closing(Struct, frozen=True):
    """What came of it: ``hold`` is where it stands now, ``entry`` what closed it, None if refused.

    ``warnings`` are sentences that the user should see and was not told yet. ``ends_job`` is
    whether it was the last one that was open: the job is closed.
    """

    hold: HoldStands
    entry: Entry | None
    counts_open: tuple[str, ...]
    warnings: tuple[str, ...] = ()
    ends_job: bool = False


def closing_record(hold_id: str, unproven: tuple[tuple[str, str], ...]) -> Closed | CloseRefused:
    """Return the record of a closing that was asked for: it is refused if anything is unproven."""
    return CloseRefused(hold_id, unproven) if unproven else Closed(hold_id)


def close_as_known(
    root: Path, hold_id: str, known: Callable[[str], Stands | None], *, at: str, by: str
) -> Closing | None:
    """Close a hold point, or refuse it, by what is known; None if that can't be said.

    ``known`` returns what was worked out from a book of this fingerprint, chain and all, None if
    nothing was. None means that nothing was written. Raises NotABook, NetworkFolder, Busy,
    CannotWrite, Damaged, as opening the book and ``bench_acts.close`` do.
    """
    warning = check_local(root)
    ledger = Ledger(root)
    try:
        bench = own_bench(root) or ledger.ends()[0]
        with ledger.transaction(bench) as writer:
            stands = _known_of(ledger, known)
            entry = _write(writer, stands, bench, hold_id, at=at, by=by)
        missed = ledger.heads_missed
    except (BadRecord, OSError):  # a bench's name that is none, no file any more: nothing is known
        return None
    finally:
        ledger.close()
    hold = stands.hold(hold_id) if stands else None
    if entry is None or stands is None or hold is None:
        return None
    closed = entry if isinstance(entry.evidence, Closed) else None
    now = replace(hold, closed=closed is not None, unsealed=closed is not None and hold.seal)
    ends_job = closed is not None and all(e.closed or e.id == hold.id for e in stands.holds)
    warnings = tuple(filter(None, (warning, missed)))
    return Closing(now, closed, stands.counts_open, warnings, ends_job)


def _known_of(ledger: Ledger, known: Callable[[str], Stands | None]) -> Stands | None:
    """Return what is known of a ledger as it is under the write lock that is held now."""
    stands = known(fingerprint(ledger.root, ledger.file()))
    # The file is found by its name: let SQLite say too that it is the one that it has open.
    return stands if stands and stands.last == ledger.ends()[1] else None


def _write(
    writer: Writer, stands: Stands | None, bench: str, hold_id: str, *, at: str, by: str
) -> Entry | None:
    hold = stands.hold(hold_id) if stands and stands.bench == bench else None
    if hold is None or hold.closed:
        return None
    return writer.append(closing_record(hold_id, hold.unproven), at=at, by=by)
