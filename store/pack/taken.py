"""Checkpoints that another copy brings: taken over, so that its history is vouched for here too.

Whoever holds an older pack of the other bench can then see in a pack of this one that history goes
on from it. Each is signed by the key that it was made with; that key is no more believed than its
fingerprint was compared. Only what the chain here goes on from is taken: what belongs to the other
branch of a fork is kept with that branch.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from store.codec import Entry
from store.errors import BadPack
from store.files.passing import cannot_read_now, is_passing
from store.pack.chain_files import CHECKPOINT, OLDER, chains_of
from store.pack.chain_files import FOLDER as CHAINS
from store.pack.checkpoint import (
    FOLDER,
    Checkpoint,
    Signed,
    checkpoint_of,
    keep_checkpoint,
    parse_checkpoint,
    root_of,
)
from store.pack.signature import SUFFIX, check_signature

_MOST = 200  # of one chain: a stranger's must not fill every later pack
_LARGEST_BYTES = 4096


def take_checkpoints(
    root: Path, source: Path, entries: tuple[Entry, ...], job: str, branch: Path | None = None
) -> None:
    """Keep the checkpoints of another copy in the book at ``root``, whose lines are ``entries``.

    ``source`` is the other book's folder, or a pack's payload. ``branch`` is where the other branch
    of a fork was kept: there go those that the chains here do not go on from. What is not signed,
    or of another job, is passed over. Raises CannotWrite.
    """
    chains = {bench: [e.hash for e in chain] for bench, chain in chains_of(entries).items()}
    for bench, hashes in chains.items():
        named = checkpoint_of(bench, job, []).job
        for each in _longest(source, bench):
            checkpoint = _believed(each, bench, named)
            if checkpoint is None:
                continue
            begin = hashes[: checkpoint.entries]
            if len(begin) == checkpoint.entries and root_of(begin) == checkpoint.root:
                keep_checkpoint(root, bench, each)
            elif branch is not None:
                keep_checkpoint(branch, bench, each)


def take_branch_checkpoints(branch: Path, target: Path) -> None:
    """Keep the checkpoints that lie with the other branch of a fork in another place of it too.

    Raises CannotWrite.
    """
    for folder in sorted((branch / FOLDER).glob("*")):
        for each in _longest(branch, folder.name):
            if _believed(each, folder.name, parse_checkpoint(each.text).job):
                keep_checkpoint(target, folder.name, each)


def _longest(source: Path, bench: str) -> list[Signed]:
    """Return the checkpoints of one chain, those of the most lines if there are very many."""
    found = []
    for path in _paths(source, bench):
        try:
            each = Signed(_small(path), _small(path.with_name(path.name + SUFFIX)))
            found.append((parse_checkpoint(each.text).entries, each.text, each))
        except (BadPack, OSError) as error:
            if is_passing(error):
                raise cannot_read_now(error, f"the checkpoint {path.name}") from error
            continue  # the check of the copy has told of it
    return [each for _, _, each in sorted(found, key=lambda known: known[:2])[-_MOST:]]


def _paths(source: Path, bench: str) -> Iterator[Path]:
    chain = source / CHAINS / bench
    folders: Iterable[Path] = (source / FOLDER / bench, chain / OLDER)
    for folder in folders:
        yield from sorted(path for path in folder.glob("*") if path.suffix != SUFFIX)
    if (chain / CHECKPOINT).is_file():
        yield chain / CHECKPOINT


def _believed(each: Signed, bench: str, job: str) -> Checkpoint | None:
    try:
        checkpoint = parse_checkpoint(each.text)
        check_signature(each.text, each.signature)
    except BadPack:
        return None
    return checkpoint if (checkpoint.bench, checkpoint.job) == (bench, job) else None


def _small(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_LARGEST_BYTES)
