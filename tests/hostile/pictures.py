"""Mutants of pictures through the program: ``python -m tests.hostile.pictures --count 15000``.

Each file is read as ``benchproof photo`` reads one. Prints what became of them: pixels, or which
refusal; the longest time; the most memory, of this process and of the children that decode. What is
raised but is no BadPhoto counts as a death, told with the number that makes the mutant again. With
``--forked`` the children that decode are copies of this process, not started anew: the same code
under the same limits, ten times as many a second.
"""

import argparse
import os
import re
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from pathlib import Path
from types import SimpleNamespace
from typing import IO, NamedTuple, NoReturn, Self

import pi_heif  # noqa: F401 - loaded before a child is forked
from PIL import JpegImagePlugin, PngImagePlugin  # noqa: F401 - the same

from capture.errors import BadPhoto
from capture.intake import decode as decoding
from capture.intake import worker
from capture.intake.photo import read_photo
from tests.hostile.mutants import mutants
from tests.hostile.seed_pictures import published_hostile, sound_pictures


class Done(NamedTuple):
    """What became of one file."""

    number: int
    said: str
    seconds: float
    died: str = ""


def read_all(files: Iterable[bytes], folder: Path, jobs: int = 1) -> list[Done]:
    """Read files one after the other, ``jobs`` at a time."""
    with ThreadPoolExecutor(jobs) as pool:
        return list(pool.map(lambda each: _read(*each, folder), enumerate(files)))


def _read(number: int, data: bytes, folder: Path) -> Done:
    path = folder / f"{number}.jpg"
    path.write_bytes(data)
    begin = time.monotonic()
    said, died = "pixels", ""
    try:
        read_photo(path)
    except BadPhoto as refused:
        said = _kind_of(str(refused).partition(" ")[2])
    except Exception as error:  # noqa: BLE001 - that is what is looked for
        said = died = f"{type(error).__name__}: {error}"
    path.unlink()
    return Done(number, said, time.monotonic() - begin, died)


def _kind_of(refusal: str) -> str:
    """Return a refusal without what differs from file to file."""
    reason = refusal.split(": ", maxsplit=1)[0]
    reason = re.sub(r"\(.*", "", reason).strip()
    return re.sub(r"\d+", "N", reason)


class Forked:
    """Stands for subprocess.Popen where the child is the worker that decodes."""

    def __init__(self, command: list[str], *, stdin: IO[bytes], **_: int) -> None:
        out, into = os.pipe()
        self._child = os.fork()
        if not self._child:
            _be_the_worker(command[4:], stdin.fileno(), into)
        os.close(into)
        self.stdout = os.fdopen(out, "rb")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stdout.close()
        os.waitpid(self._child, 0)

    def kill(self) -> None:
        """End the child, whatever it does."""
        os.kill(self._child, signal.SIGKILL)


def _be_the_worker(words: list[str], source: int, into: int) -> NoReturn:
    try:
        os.dup2(source, 0)
        os.dup2(into, 1)
        sys.stdin, sys.stdout = os.fdopen(0, "r"), os.fdopen(1, "w")
        worker.main(words[0], *map(int, words[1:4]))
        sys.stdout.flush()
    finally:
        os._exit(0)


def main() -> int:
    """Print the table; ends with 1 if anything died, took over 10 s or over 2 GB."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=15_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--forked", action="store_true")
    given = parser.parse_args()
    if given.forked:
        given.jobs = 1
        fake = SimpleNamespace(Popen=Forked, PIPE=-1, DEVNULL=-3)
        setattr(decoding, "subprocess", fake)  # noqa: B010 - what decode starts its child with
    published = published_hostile()
    seeds = [*sound_pictures(), *(data for data in published if 0 < len(data) < 60_000)]
    files = [*published, *islice(mutants(seeds, given.seed), given.count - len(published))]
    begin = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        done = read_all(files, Path(folder), given.jobs)
    took = time.monotonic() - begin
    for said, count in Counter(each.said for each in done).most_common():
        print(f"{count:7}  {said}")
    deaths = [each for each in done if each.died]
    for each in deaths[:20]:
        print(f"died: number {each.number}: {each.died}")
    longest = max(each.seconds for each in done)
    own, children = (
        resource.getrusage(who).ru_maxrss / 1024
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(
        f"{len(done)} files in {took:.0f} s (seed {given.seed}): {len(deaths)} deaths; longest "
        f"{longest:.1f} s; most memory {own:.0f} MB here, {children:.0f} MB in a child"
    )
    return 1 if deaths or longest > 10 or max(own, children) > 2048 else 0


if __name__ == "__main__":
    sys.exit(main())
