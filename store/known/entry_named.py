"""An entry as a person names it: by its number, by its hash, or by the start of that."""

from collections.abc import Sequence

from store.codec import Entry
from store.errors import NoSuchEntry

_MOST_NAMED = 3
_SHORTEST_CITATION = 6


def entry_named(entries: Sequence[Entry], cited: str | int, own_bench: str) -> Entry:
    """Return an entry by its hash, by the start of it, or by its number: "60" or "south 2".

    A start has six digits or more. A text must fit one entry only: where several benches have
    that number, the bench stands before it. A whole number counts in ``own_bench``'s chain.
    Raises NoSuchEntry.
    """
    bench, _, text = str(cited).strip().lower().rpartition(" ")
    is_number = text.isdecimal() and (bool(bench) or len(text) < _SHORTEST_CITATION)
    if isinstance(cited, int) or is_number:
        chain = own_bench if isinstance(cited, int) else bench.strip()
        found = [e for e in entries if str(e.seq) == text and chain in {"", e.bench}]
    else:
        long_enough = len(text) >= _SHORTEST_CITATION and not bench
        found = [e for e in entries if long_enough and e.hash.startswith(text)]
    if len(found) > 1:
        # A wrong guess would strike what another bench entered.
        among = " or ".join(f"{e.bench} {e.seq}" for e in found[:_MOST_NAMED])
        raise NoSuchEntry(
            f"several entries in this book answer to {cited!r}: say which, as {among}, or give "
            "more digits of its hash."
        )
    if not found:
        raise NoSuchEntry(
            f"no entry in this book answers to {cited!r}: give the entry's number (of another "
            'bench with its name, as "south 2"), or more digits of its hash.'
        )
    return found[0]
