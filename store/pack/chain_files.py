"""The chains of a book as files: lines, hashes, what was left out, checkpoints.

chains/BENCH/ledger.jsonl      the lines, byte for byte, without those left out
chains/BENCH/hashes.txt        SHA-256 of every line in order, of those left out too
chains/BENCH/redacted.txt      SHA-256 of the lines left out; empty if none were
chains/BENCH/checkpoint(.sig)  bench/job, number of lines, root; signed
chains/BENCH/older/            earlier checkpoints, each with its signature
chains/arrival.txt             with several benches: every hash in order of arrival
"""

from collections.abc import Iterable, Mapping

from store.codec import Entry
from store.pack.checkpoint import Signed, checkpoint_of, signed
from store.pack.pieces import Piece
from store.pack.signature import SUFFIX
from store.pack.signing_key import SigningKey

FOLDER = "chains"
LEDGER, HASHES, REDACTED = "ledger.jsonl", "hashes.txt", "redacted.txt"
CHECKPOINT, OLDER, ARRIVAL = "checkpoint", "older", "arrival.txt"


def chains_of(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Return each bench's entries in the order of their numbers, the first bench's first."""
    chains: dict[str, list[Entry]] = {}
    for entry in entries:
        chains.setdefault(entry.bench, []).append(entry)
    return {bench: sorted(chain, key=lambda entry: entry.seq) for bench, chain in chains.items()}


def new_checkpoints(entries: Iterable[Entry], job: str, key: SigningKey) -> dict[str, Signed]:
    """Return a signed checkpoint for each bench's chain as it is now."""
    return {
        bench: signed(checkpoint_of(bench, job, [entry.hash for entry in chain]), key)
        for bench, chain in chains_of(entries).items()
    }


def chain_pieces(
    entries: tuple[Entry, ...],
    left_out: frozenset[str],
    now: dict[str, Signed],
    kept: Mapping[str, Iterable[Signed]],
) -> list[Piece]:
    """Return the files of every chain, below ``chains/``.

    ``left_out`` are the hashes of lines that stay at the bench, ``kept`` the checkpoints kept in
    the book by chain.
    """
    found: list[Piece] = []
    chains = chains_of(entries)
    for bench, chain in chains.items():
        files = {
            LEDGER: b"".join(entry.line for entry in chain if entry.hash not in left_out),
            HASHES: _lines(entry.hash for entry in chain),
            REDACTED: _lines(entry.hash for entry in chain if entry.hash in left_out),
            CHECKPOINT: now[bench].text,
            CHECKPOINT + SUFFIX: now[bench].signature,
        }
        for older in kept.get(bench, ()):
            if older != now[bench]:
                files[f"{OLDER}/{older.name}"] = older.text
                files[f"{OLDER}/{older.name}{SUFFIX}"] = older.signature
        found += [Piece(f"{FOLDER}/{bench}/{name}", data) for name, data in files.items()]
    if len(chains) > 1:
        found.append(Piece(f"{FOLDER}/{ARRIVAL}", _lines(entry.hash for entry in entries)))
    return found


def _lines(texts: Iterable[str]) -> bytes:
    return "".join(f"{text}\n" for text in texts).encode("ascii")
