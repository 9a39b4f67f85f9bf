"""Re-hashing a book's photos as verify does, against sha256sum over the same files in one run."""

import random
import subprocess
import tempfile
import time
from pathlib import Path
from statistics import median

from store.photos import PhotoVault
from store.proving.kept import hashed

PHOTOS, BYTES, RUNS = 60, 5_000_000, 7


def print_rehash() -> None:
    """Print both times and their ratio; the two take turns, and no time is asserted anywhere."""
    with tempfile.TemporaryDirectory() as folder:
        vault = PhotoVault(Path(folder))
        dice = random.Random(0)  # noqa: S311 - bytes to hash, not a secret
        for _ in range(PHOTOS):
            source = Path(folder, "incoming.jpg")
            source.write_bytes(dice.randbytes(BYTES))
            vault.put(source, "jpg")
        paths = [found.path for found in vault.files()]
        ours, theirs = [], []
        for _ in range(RUNS):
            begin = time.perf_counter()
            ids = [digest for _, digest in hashed(vault.files())]
            ours.append(time.perf_counter() - begin)
            begin = time.perf_counter()
            told = subprocess.run(
                ["sha256sum", *map(str, paths)], capture_output=True, check=True, text=True
            ).stdout
            theirs.append(time.perf_counter() - begin)
        if ids != [line.split()[0] for line in told.splitlines()]:
            raise SystemExit("the two disagree about a hash")
    megabytes = PHOTOS * BYTES / 1e6
    print(f"re-hashing {PHOTOS} photos, {megabytes:.0f} MB, {RUNS} runs each, taking turns")
    print(f"{'':12}{'least':>10}{'median':>10}")
    for name, times in (("benchproof", ours), ("sha256sum", theirs)):
        print(f"{name:12}{min(times):>8.2f} s{median(times):>8.2f} s")
    print(f"{'ratio':12}{min(ours) / min(theirs):>10.2f}{median(ours) / median(theirs):>10.2f}")
