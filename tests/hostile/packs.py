"""Hostile packs through ``verify`` and ``merge``: ``python -m tests.hostile.packs``.

Each runs in a child process with 2 GB of memory and 60 s of processor time. Before and after it
the whole folder round it is looked at, the one for temporary files too: a file changed, made or
left is an escape. Prints case, exit codes, time, and the reason given. ``--zips N`` adds N zips of
a sound pack with bytes of their headers changed.
"""

import argparse
import hashlib
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from store.pack.signing_key import read_key
from tests.hostile.pack_cases import CASES, SOUND, copied, random_zips, tiny_entries
from tests.hostile.sound_book import sound_book
from tests.store.pack.packed import make_key
from tests.store.pack.test_hostile import HOSTILE

ROOT = Path(__file__).parents[2]
MEMORY_BYTES, CPU_SECONDS = 2 << 30, 60
REFUSED = {2, 3, 7}  # used wrongly (another book), no pack, altered


class Ran(NamedTuple):
    """What a verb did with a pack."""

    code: int
    said: str
    seconds: float
    escaped: tuple[str, ...]

    @property
    def is_defect(self) -> bool:
        """Whether it was taken, or ended as no refusal does, or wrote where it may not."""
        return self.code not in REFUSED or bool(self.escaped) or "Traceback" in self.said


def everything_in(folder: Path) -> dict[str, str]:
    """Return what lies below a folder: path -> hash, link or kind."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = str(path.relative_to(folder))
        if path.is_symlink():
            found[name] = f"link to {path.readlink()}"
        elif path.is_file():
            found[name] = hashlib.sha256(path.read_bytes()).hexdigest()
        else:
            found[name] = "folder" if path.is_dir() else "device"
    return found


def run(words: list[str], world: Path) -> Ran:
    """Run one command in a world of its own, with limits."""
    before, begin = everything_in(world), time.monotonic()
    homes = {f"XDG_{kind}_HOME": str(world / "home" / kind.lower())
             for kind in ("CACHE", "DATA", "CONFIG", "STATE")}  # fmt: skip
    done = subprocess.run(
        [sys.executable, "-P", "-m", "capture", *words],
        cwd=world, capture_output=True, text=True, check=False, preexec_fn=_limit,
        env={**os.environ, **homes, "TMPDIR": str(world / "staging"), "PYTHONPATH": str(ROOT),
             "PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip
    took, after = time.monotonic() - begin, everything_in(world)
    changed = {n for n in before.keys() | after.keys() if before.get(n) != after.get(n)}
    escaped = {name for name in changed if not name.startswith("home")}
    return Ran(done.returncode, (done.stdout + done.stderr).strip(), took, tuple(sorted(escaped)))


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, resource.RLIM_INFINITY))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))


def make_world(folder: Path) -> Path:
    """Make a folder with a book, its sound pack as folder and zip, and a place for staging.

    ``marked-book`` and ``marked`` are those of a book with marks on a photo.
    """
    for name in ("staging", "home", "home/cache", "home/data", "home/config", "home/state", "in"):
        (folder / name).mkdir()
    key = make_key(folder)
    with sound_book(folder / "book") as journey:
        journey.pack(folder / "sound", key_file=key)
        journey.pack(folder / "sound.zip", key_file=key)
    with sound_book(folder / "marked-book", is_marked=True) as journey:
        journey.pack(folder / "marked", key_file=key)
    return folder


def hostile_packs(world: Path) -> Iterator[tuple[str, str, Path]]:
    """Yield (case, words of its reason, the pack), which lies there only while it is tried."""
    for name, (content, words) in HOSTILE.items():
        path = world / "in" / "hostile.zip"
        path.write_bytes(content)
        yield f"zip: {name}", words, path
        path.unlink()
    for name, case in CASES.items():
        path = copied(world / ("marked" if case.is_marked else "sound"), world / "in" / "hostile")
        case.change(path, read_key(world / "key"))
        yield name, case.words, path
        _remove(path)


def _remove(path: Path) -> None:
    import shutil  # noqa: PLC0415 - beside its use

    shutil.rmtree(path)


def main() -> int:
    """Print the table; ends with 1 if anything was taken, escaped, or ended as no refusal does."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--zips", type=int, default=100)
    parser.add_argument("--only", default="", help="a pattern that the case's name must match")
    given = parser.parse_args()
    bad = tried = 0
    longest = 0.0
    with tempfile.TemporaryDirectory(prefix="hostile-") as folder:
        world = make_world(Path(folder))
        for name, _, path in hostile_packs(world):
            if not re.search(given.only, name):
                continue
            book = "marked-book" if name in CASES and CASES[name].is_marked else "book"
            ran = [run(["verify", str(path)], world), run(["merge", book, str(path)], world)]
            tried += 1
            bad += _tell(name, ran, is_sound=name in CASES and CASES[name].words == SOUND)
            longest = max(longest, *(each.seconds for each in ran))
        for number, content in enumerate(_generated(world, given.zips)):
            path = world / "in" / "hostile.zip"
            path.write_bytes(content)
            ran = [run(["verify", str(path)], world), run(["merge", "book", str(path)], world)]
            path.unlink()
            # A changed byte that means nothing (a date, say) leaves a pack that is sound.
            harmless = all(each.code == 0 and not each.escaped for each in ran)
            tried += 1
            bad += 0 if harmless else _tell(f"changed zip {number}", ran)
            longest = max(longest, *(each.seconds for each in ran))
    print(f"{tried} packs, each verified and merged: {bad} defects; longest {longest:.1f} s")
    return 1 if bad else 0


def _generated(world: Path, count: int) -> Iterator[bytes]:
    if count:
        yield tiny_entries(200_000)
    yield from random_zips((world / "sound.zip").read_bytes(), count, seed=6)


def _tell(name: str, ran: list[Ran], *, is_sound: bool = False) -> bool:
    taken = all(each.code == 0 and not each.escaped for each in ran)
    is_bad = not taken if is_sound else any(each.is_defect for each in ran)
    codes = "/".join(str(each.code) for each in ran)
    print(f"{'DEFECT ' if is_bad else ''}{name} [{codes}, {sum(r.seconds for r in ran):.1f} s]")
    for each in ran:
        reason = [line for line in each.said.splitlines() if not line.startswith("note:")]
        print(
            f"    {' | '.join(reason)[:300]}" + (f" ESCAPED {each.escaped}" if each.escaped else "")
        )
    return is_bad


if __name__ == "__main__":
    sys.exit(main())
