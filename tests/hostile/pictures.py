"""Mutants of pictures through the program: ``python -m tests.hostile.pictures --count 15000``.

Each file is read as ``benchproof photo`` reads one. Prints what became of them: pixels, or which
refusal; the longest time; the most memory, of this process and of the children that decode. What is
raised but is no BadPhoto counts as a death, told with the number that makes the mutant again.
"""

import argparse
import re
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from capture.errors import BadPhoto
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


def main() -> int:
    """Print the table; ends with 1 if anything died, took over 10 s or over 2 GB."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=15_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    given = parser.parse_args()
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
