"""Who vouches for a pack: signatures of its manifests and checkpoints, and unbroken history."""

import hashlib
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from msgspec import Struct

from store.branches.chains import read_line
from store.branches.forks import FOLDER as FORKS
from store.errors import BadPack, StoreError
from store.files.passing import is_passing
from store.finding import Finding, not_read
from store.ledger import Ledger
from store.pack.bag import DATA, MANIFEST_NAME, TAG_MANIFEST_NAME, signature_name
from store.pack.chain_files import CHECKPOINT, FOLDER, OLDER
from store.pack.checkpoint import FOLDER as KEPT_FOLDER
from store.pack.checkpoint import (
    Checkpoint,
    Signed,
    kept_checkpoints,
    parse_checkpoint,
    root_of,
)
from store.pack.contents import SIGNERS
from store.pack.signature import SUFFIX, check_signature
from store.pack.signers import Signers, parse_signers
from store.pack.signing_key import PublicKey

_LARGEST_BYTES = 64_000_000


class Chain(Struct, frozen=True):
    """One bench's chain in a pack as far as its hashes tell."""

    bench: str
    hashes: list[str]


def read_signers(root: Path) -> Signers:
    """Return who may sign in a pack; raises BadPack."""
    return parse_signers(content(root / DATA / SIGNERS))


def check_signatures(root: Path, signers: Signers) -> Iterator[Finding]:
    """Find manifests that are not signed by the pack's own key: the first that may sign."""
    for name in (TAG_MANIFEST_NAME, MANIFEST_NAME):
        yield from _check_one(root / name, name, signers.keys[:1])


def check_checkpoints(root: Path, chain: Chain, job: str, signers: Signers) -> Iterator[Finding]:
    """Find checkpoints that are not signed, or that the chain does not go on from: a fork."""
    folder = root / DATA / FOLDER / chain.bench
    now = folder / CHECKPOINT
    name = f"{DATA}/{FOLDER}/{chain.bench}/{CHECKPOINT}"
    yield from _check_one(now, name, signers.keys[:1])
    yield from _check_text(now, name, chain, job, is_newest=True)
    for path in sorted((folder / OLDER).glob("*")):
        if path.suffix != SUFFIX:
            name = f"{DATA}/{FOLDER}/{chain.bench}/{OLDER}/{path.name}"
            yield from _check_one(path, name, signers.keys)
            yield from _check_text(path, name, chain, job, is_newest=False)


def check_book_checkpoints(book: Path) -> list[Finding]:
    """Find checkpoints kept in a book that its chains do not go on from, or that were changed.

    A book that can't be read has its own findings, and none here, unless it could not be read now.
    """
    found: list[Finding] = []
    try:
        if not ((book / KEPT_FOLDER).is_dir() or (book / FORKS).is_dir()):
            return []
        hashes = _hashes_of(book)
        if (book / KEPT_FOLDER).is_dir():
            found += _check_folder(book, book, lambda bench: [_hashes_of(book).get(bench, [])])
        found += check_branch_checkpoints(book, hashes)
    except (StoreError, OSError) as error:
        if is_passing(error):
            found.append(not_read(error, KEPT_FOLDER))
        elif not isinstance(error, StoreError):
            raise
    return found


def check_branch_checkpoints(root: Path, hashes: dict[str, list[str]]) -> list[Finding]:
    """Find checkpoints kept with the other branches of forks that those do not go on from.

    ``root`` is a book or a pack's payload, ``hashes`` are its own chains by bench.
    """
    found: list[Finding] = []
    for folder in sorted((root / FORKS).glob("*")):
        if (folder / KEPT_FOLDER).is_dir():
            found += _check_folder(root, folder, partial(_branch_chains, folder, hashes))
    return found


def _branch_chains(folder: Path, hashes: dict[str, list[str]], bench: str) -> list[list[str]]:
    """Return the hashes of a bench's chain as each file of a branch goes on with it."""
    found = []
    for path in sorted(folder.glob("*.jsonl")):
        chain = list(hashes.get(bench, []))
        for line in content(path).splitlines(keepends=True):
            row = read_line("", 0, "", line)
            if row.entry is not None and row.entry.bench == bench:
                chain[row.entry.seq - 1 :] = [row.hash]
        found.append(chain)
    return found


def _check_folder(
    root: Path, folder: Path, chains: Callable[[str], list[list[str]]]
) -> Iterator[Finding]:
    """Find checkpoints in a folder that none of their bench's chains goes on from, or changed."""
    for bench in sorted(path.name for path in (folder / KEPT_FOLDER).iterdir() if path.is_dir()):
        name = (folder / KEPT_FOLDER / bench).relative_to(root).as_posix()
        try:
            there = kept_checkpoints(folder, bench)
            gone_on = chains(bench)  # after them: one may be kept meanwhile, of newer lines
            for kept in there:
                tried = [
                    list(_check_kept(kept, f"{name}/{kept.name}", Chain(bench, chain)))
                    for chain in gone_on
                ]
                yield from min(tried, key=len, default=[])
        except (BadPack, OSError) as error:
            changed = Finding("altered", "checkpoint-changed", name, str(error))
            yield not_read(error, name) if is_passing(error) else changed


def content(path: Path) -> bytes:
    """Return a small file's bytes.

    Raises BadPack if it is gone or too large, OSError if it could not be read now.
    """
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise BadPack(f"{path.name} is larger than {_LARGEST_BYTES} bytes")
        return path.read_bytes()
    except OSError as error:
        if is_passing(error):
            raise
        raise BadPack(f"{path.name} is gone") from error


def _check_kept(kept: Signed, name: str, chain: Chain) -> Iterator[Finding]:
    checkpoint = parse_checkpoint(kept.text)
    try:
        check_signature(kept.text, kept.signature)
    except BadPack as error:
        yield Finding("altered", "signature-wrong", name, str(error))
    yield from _check_root(checkpoint, name, chain)


def _hashes_of(book: Path) -> dict[str, list[str]]:
    """Return the hashes of each bench's lines, from the lines themselves."""
    ledger = Ledger(book, read_only=True)
    try:
        rows = sorted((bench, seq, line) for bench, seq, _, line in ledger.rows())
    finally:
        ledger.close()
    found: dict[str, list[str]] = {}
    for bench, _, line in rows:
        found.setdefault(bench, []).append(hashlib.sha256(line).hexdigest())
    return found


def _check_one(path: Path, name: str, keys: tuple[PublicKey, ...]) -> Iterator[Finding]:
    """Find a file that none of these keys has signed."""
    try:
        key = check_signature(content(path), content(path.with_name(signature_name(path.name))))
    except BadPack as error:
        yield Finding("altered", "signature-wrong", name, f"its signature does not hold: {error}")
        return
    if key not in keys:
        detail = f"it is signed with another key than the pack's: {key.fingerprint}"
        yield Finding("altered", "signature-strange", name, detail)


def _check_text(
    path: Path, name: str, chain: Chain, job: str, *, is_newest: bool
) -> Iterator[Finding]:
    try:
        checkpoint = parse_checkpoint(content(path))
    except BadPack as error:
        yield Finding("altered", "checkpoint-changed", name, str(error))
        return
    if (checkpoint.bench, checkpoint.job) != (chain.bench, job):
        detail = f"it is of {checkpoint.bench}/{checkpoint.job}"
        yield Finding("altered", "checkpoint-strange", name, detail)
    if is_newest and checkpoint.entries != len(chain.hashes):
        detail = f"it says {checkpoint.entries} lines, there are {len(chain.hashes)}"
        yield Finding("altered", "checkpoint-count", name, detail)
    yield from _check_root(checkpoint, name, chain)


def _check_root(checkpoint: Checkpoint, name: str, chain: Chain) -> Iterator[Finding]:
    begin = chain.hashes[: checkpoint.entries]
    if len(begin) < checkpoint.entries or root_of(begin) != checkpoint.root:
        yield Finding(
            "altered", "chain-fork", name,
            f"the first {checkpoint.entries} lines are not those that left the bench then: a FORK, "
            "history was rewritten since",
        )  # fmt: skip
