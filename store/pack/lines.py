"""The chains of a pack read again: every line hashed, held against hashes.txt, and decoded."""

import re
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from store.branches.chains import Line, check_lines, read_line, where
from store.codec import FIRST_PREV, LONGEST_LINE, Entry, hash_of
from store.errors import BadPack
from store.files.passing import is_passing
from store.finding import Finding
from store.pack.bag import DATA
from store.pack.chain_files import ARRIVAL, FOLDER, HASHES, LEDGER, REDACTED
from store.pack.vouching import Chain, content

MOST_LINES = 1_000_000
# Of all chains together: what is read of a line takes some ten times its bytes.
LARGEST_CHAINS_BYTES = 250_000_000
_HASHES = re.compile(rb"(?:[0-9a-f]{64}\n)*")


class Lines(Struct, frozen=True):
    """What can be read of a pack's chains: each chain's hashes, the entries in order of arrival.

    ``left_out`` counts the lines that stayed at the bench.
    """

    chains: tuple[Chain, ...]
    entries: tuple[Entry, ...]
    left_out: int


def read_lines(root: Path, benches: tuple[str, ...], found: list[Finding]) -> Lines:
    """Return the lines of a pack's chains, and add to ``found`` all that is wrong with them.

    Raises BadPack for a file of hashes that is none, and for chains larger than memory should hold.
    """
    folder = root / DATA / FOLDER
    there = {path.name for path in folder.iterdir() if path.is_dir()} if folder.is_dir() else set()
    for bench in sorted(there ^ set(benches)):
        said = "no key is named for it" if bench in there else "its chain is gone"
        found.append(Finding("altered", "chain-strange", bench, said))
    _refuse_large([folder / bench / LEDGER for bench in benches if bench in there])
    chains, entries, left_out = [], list[Entry](), 0
    for bench in benches:
        if bench in there:
            hashes = _hashes(folder / bench / HASHES)
            redacted = _hashes(folder / bench / REDACTED)
            chains.append(Chain(bench, hashes))
            found += _check_redacted(bench, hashes, redacted)
            entries += _read_chain(folder / bench / LEDGER, chains[-1], set(redacted), found)
            left_out += len(redacted)
    return Lines(tuple(chains), _in_order(folder, chains, entries, found), left_out)


def _refuse_large(ledgers: list[Path]) -> None:
    size = sum(path.stat().st_size for path in ledgers if path.is_file())
    if size > LARGEST_CHAINS_BYTES:
        raise BadPack(
            f"its chains have {size} bytes; at most {LARGEST_CHAINS_BYTES} are taken: ask for a "
            "copy of the book"
        )


def _hashes(path: Path) -> list[str]:
    text = content(path)
    if not _HASHES.fullmatch(text):
        raise BadPack(f"{path.name} is not a list of hashes, one on each line")
    hashes = text.decode("ascii").splitlines()
    if len(hashes) > MOST_LINES:
        raise BadPack(f"{path.name} has more than {MOST_LINES} lines")
    return hashes


def _check_redacted(bench: str, hashes: list[str], redacted: list[str]) -> Iterator[Finding]:
    if len(set(redacted)) != len(redacted) or set(redacted) - set(hashes):
        detail = "it lists what is no line of this chain, or one twice"
        yield Finding("altered", "redacted-strange", f"{bench} {REDACTED}", detail)


def _read_chain(
    path: Path, chain: Chain, redacted: set[str], found: list[Finding]
) -> Iterator[Entry]:
    """Yield the entries of a chain in order, and find lines that are not those hashed."""
    lines = _lines(path)
    for number, digest in enumerate(chain.hashes, start=1):
        if digest in redacted:
            continue
        line = next(lines, None)
        if line is None:
            detail = "the line is gone, and not listed as left out"
            found.append(Finding("altered", "entry-gone", f"{chain.bench} {number}", detail))
            return
        row = read_line(chain.bench, number, digest, line)
        found += [finding for _, finding in check_lines([row])]
        found += _check_link(row, chain)
        if row.entry is not None:
            yield row.entry
    if next(lines, None) is not None:
        detail = "it has lines that hashes.txt does not list"
        found.append(Finding("altered", "line-added", f"{chain.bench} {LEDGER}", detail))


def _lines(path: Path) -> Iterator[bytes]:
    try:
        with path.open("rb") as file:
            while line := file.readline(LONGEST_LINE + 2):
                yield line
    except OSError as error:
        if is_passing(error):
            raise
        raise BadPack(f"{path.name} is gone") from error


def _check_link(row: Line, chain: Chain) -> Iterator[Finding]:
    before = chain.hashes[row.seq - 2] if row.seq > 1 else FIRST_PREV
    if row.entry is not None and row.prev != before:
        detail = "it does not follow from the line before it: changed, dropped or moved"
        yield Finding("altered", "chain-broken", where(row.entry), detail)


def _in_order(
    folder: Path, chains: list[Chain], entries: list[Entry], found: list[Finding]
) -> tuple[Entry, ...]:
    """Return the entries in order of arrival, which several chains need a list for."""
    if len(chains) < 2:  # noqa: PLR2004 - one chain is its own order
        return tuple(entries)
    arrival = _hashes(folder / ARRIVAL)
    turn = {digest: number for number, digest in enumerate(arrival)}
    own = {digest: chain.bench for chain in chains for digest in chain.hashes}
    apart: dict[str, list[str]] = {chain.bench: [] for chain in chains}
    for digest in arrival:
        if digest in own:
            apart[own[digest]].append(digest)
    is_whole = all(apart[chain.bench] == chain.hashes for chain in chains)
    if not is_whole or len(arrival) != sum(len(chain.hashes) for chain in chains):
        detail = "it is not the lines of the chains, each chain in its order"
        found.append(Finding("altered", "arrival-differs", ARRIVAL, detail))
        return tuple(entries)
    return tuple(sorted(entries, key=lambda entry: turn.get(hash_of(entry.line), len(turn))))
