"""200 photos of 12 megapixels filed, against cp, sha256sum and a bare draft decode of the same.

Filing is done as ``benchproof photo`` does it: each file is walked to its end and every byte of
it decoded (at an eighth of its size) by a process with limits, it is hashed, copied and synced,
and its entry written and synced, while the next are being decoded. The peers are run one after
the other over the same files: ``cp`` into a folder of the same disk, ``sha256sum``, and Pillow
decoding each in draft mode to an eighth. The times of full decoding and of syncing are printed
too: what a photo costs that is measured on at once, and what the disk costs.
"""

import os
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from capture.errors import BadPhoto
from capture.intake.ahead import read_ahead
from capture.intake.photo import checked
from capture.journey import Journey
from store.plan import Job, Location, Plan

PHOTOS = 200
WIDTH, HEIGHT, DRAFT = 4000, 3000, 8
_COMMENT = b"\xff\xfe"


def print_intake(count: int = PHOTOS) -> None:
    """Print the time of filing the photos, of each peer, and the ratio."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as name:
        folder = Path(name)
        photos = photos_like_a_cameras(folder / "card", count)
        size = sum(photo.stat().st_size for photo in photos)
        print(f"{count} photos of 12 megapixels, {size / count / 1e6:.1f} MB each")
        peers = {
            "cp": _timed(lambda: _run("cp", *photos, _made(folder / "copies"))),
            "sha256sum": _timed(lambda: _run("sha256sum", *photos)),
            "draft decode, 1/8": _timed(lambda: _decode(photos, draft=True)),
        }
        more = {
            "full decode": _timed(lambda: _decode(photos, draft=False)),
            "cp, each file synced": _timed(lambda: _synced_copies(photos, folder / "synced")),
        }
        ours = _timed(lambda: _file(folder / "book", photos))
    for what, took in peers.items():
        print(f"  {what:24}{took:>8.1f} s")
    peer = sum(peers.values())
    print(f"{'the three together':26}{peer:>8.1f} s")
    print(f"{'filed in a book':26}{ours:>8.1f} s{ours / peer:>8.2f} x")
    for what, took in more.items():
        print(f"  {what:24}{took:>8.1f} s, for comparison")
    rest = peers["sha256sum"] + sum(more.values())
    print(f"filed, against hashing, full decode and synced copies: {ours / rest:.2f} x")


def photos_like_a_cameras(folder: Path, count: int) -> list[Path]:
    """Return files like a camera's, all different: one noisy picture, each with its own comment."""
    folder.mkdir()
    rng = np.random.default_rng(12)
    coarse = Image.fromarray(rng.integers(40, 210, (60, 80, 3), dtype=np.uint8))
    smooth = np.asarray(coarse.resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC), dtype=np.int16)
    grain = rng.normal(0, 5, (HEIGHT, WIDTH, 1)).astype(np.int16)
    picture = Image.fromarray(np.clip(smooth + grain, 0, 255).astype(np.uint8))
    first = folder / "0000.jpg"
    picture.save(first, quality=90)
    data = first.read_bytes()
    made = []
    for number in range(count):
        said = f"photo {number}".encode()
        comment = _COMMENT + (len(said) + 2).to_bytes(2, "big") + said
        path = folder / f"{number:04}.jpg"
        path.write_bytes(data[:2] + comment + data[2:])
        made.append(path)
    return made


def _file(root: Path, photos: list[Path]) -> None:
    job = Job("B-1", "bench mule", "nobody", "The Bench")
    plan = Plan(job, (Location("L1", "a location", ()),))
    with Journey.start(
        plan, root, clock=lambda: "2026-03-02T09:00:00+01:00", user="A. Fitter",
        bench="north", version="bench",
    ) as journey:  # fmt: skip
        for path, photo in read_ahead(photos, checked):
            if isinstance(photo, BadPhoto):
                raise SystemExit(f"{path.name} was refused: {photo}")
            journey.add_photo(photo, location="L1", role="overall")


def _decode(photos: list[Path], *, draft: bool) -> None:
    for path in photos:
        with Image.open(path) as picture:
            if draft:
                picture.draft("RGB", (WIDTH // DRAFT, HEIGHT // DRAFT))
            picture.load()


def _synced_copies(photos: list[Path], folder: Path) -> None:
    _made(folder)
    for photo in photos:
        with (folder / photo.name).open("wb") as copy:
            copy.write(photo.read_bytes())
            copy.flush()
            os.fsync(copy.fileno())


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _run(*command: object) -> None:
    subprocess.run([str(word) for word in command], check=True, stdout=subprocess.DEVNULL)


def _timed(act: Callable[[], object]) -> float:
    begin = time.perf_counter()
    act()
    return time.perf_counter() - begin
