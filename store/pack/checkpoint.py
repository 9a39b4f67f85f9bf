"""Checkpoints: what left the bench of one chain, in three lines, signed.

    north/J-12        the bench and the job
    41                how many entries there were
    5f0c...           root: SHA-256 of the first 41 lines of hashes.txt

One is made for each chain with every pack. It is kept in the book's folder, below
``checkpoints/BENCH``, before the pack leaves, and goes into every later pack: whoever has an older
pack in his hand can see that the newer one goes on from it.
"""

import hashlib
import re
from pathlib import Path

from msgspec import Struct

from store.errors import BadPack
from store.files.disk import cannot_write, make_folder
from store.files.halfmade import replace_file
from store.pack.signature import SUFFIX, parse_signature, sign
from store.pack.signing_key import SigningKey

FOLDER = "checkpoints"
_TEXT = re.compile(rb"([a-z0-9-]{1,32})/([^\n/]{1,800})\n([1-9][0-9]{0,15})\n([0-9a-f]{64})\n")
_NAME = re.compile(r"[0-9]{9}-[0-9a-f]{8}-[0-9a-f]{8}")
_SHORT = 8
_LONGEST_JOB = 200  # letters, of up to four bytes
_LARGEST_BYTES = 4096


class Checkpoint(Struct, frozen=True):
    """One chain as it was at one moment. ``job`` is the job's number, on one line."""

    bench: str
    job: str
    entries: int
    root: str

    @property
    def text(self) -> str:
        """The three lines."""
        return f"{self.bench}/{self.job}\n{self.entries}\n{self.root}\n"


class Signed(Struct, frozen=True):
    """A checkpoint's file and its signature's, as bytes."""

    text: bytes
    signature: bytes

    @property
    def name(self) -> str:
        """The name it is kept under: number of entries, start of the root, start of the key.

        Raises BadPack for bytes that are no checkpoint, BadSignature for those that are none.
        """
        checkpoint = parse_checkpoint(self.text)
        key = hashlib.sha256(parse_signature(self.signature).key.raw).hexdigest()
        return f"{checkpoint.entries:09d}-{checkpoint.root[:_SHORT]}-{key[:_SHORT]}"


def root_of(hashes: list[str]) -> str:
    """Return the root of a chain: SHA-256 of its hashes, one hex line each."""
    return hashlib.sha256("".join(f"{each}\n" for each in hashes).encode("ascii")).hexdigest()


def checkpoint_of(bench: str, job: str, hashes: list[str]) -> Checkpoint:
    """Return the checkpoint of a chain as it is now; what a job's number can't hold is a "-"."""
    on_one_line = re.sub(r"[\s/]+", "-", job).strip("-")[:_LONGEST_JOB] or "-"
    return Checkpoint(bench, on_one_line, len(hashes), root_of(hashes))


def parse_checkpoint(text: bytes) -> Checkpoint:
    """Return the checkpoint in a file's bytes; raises BadPack unless it is the three lines."""
    found = _TEXT.fullmatch(text)
    if found is None:
        raise BadPack("a checkpoint is three lines: bench/job, number of entries, root")
    try:
        job = found[2].decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadPack("a checkpoint's job number is not UTF-8") from error
    return Checkpoint(found[1].decode(), job, int(found[3]), found[4].decode())


def signed(checkpoint: Checkpoint, key: SigningKey) -> Signed:
    """Return a checkpoint signed."""
    text = checkpoint.text.encode()
    return Signed(text, sign(text, key).encode())


def kept_checkpoints(book: Path, bench: str) -> tuple[Signed, ...]:
    """Return the checkpoints kept in a book for one chain, the shortest chain first.

    Raises BadPack for one that was changed, OSError.
    """
    found = []
    for path in sorted((book / FOLDER / bench).glob("*")):
        if _NAME.fullmatch(path.name) and path.is_file():
            each = Signed(_small(path), _small(path.with_name(path.name + SUFFIX)))
            if each.name != path.name:
                raise BadPack(f"the checkpoint {path} is not the one that was kept: run verify")
            found.append(each)
    return tuple(found)


def all_kept(book: Path) -> dict[str, tuple[Signed, ...]]:
    """Return the checkpoints kept in a book by chain, as ``kept_checkpoints`` gives them.

    They are read before the lines that they are held against: another program may write, and keep
    one of what it wrote, in between.
    """
    folder = book / FOLDER
    benches = sorted(path.name for path in folder.iterdir()) if folder.is_dir() else ()
    return {bench: kept_checkpoints(book, bench) for bench in benches}


def keep_checkpoint(book: Path, bench: str, each: Signed) -> None:
    """Keep a checkpoint in a book's folder; one that is there already stays. Raises CannotWrite."""
    folder = book / FOLDER / bench
    path = folder / each.name
    try:
        if path.exists():
            return
        make_folder(folder)
        # The signature first: a checkpoint without one is never there.
        for name, content in ((path.name + SUFFIX, each.signature), (path.name, each.text)):
            replace_file(folder / name, content)
    except OSError as error:
        raise cannot_write(error, "the checkpoint that goes with the pack") from error


def _small(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_LARGEST_BYTES)
