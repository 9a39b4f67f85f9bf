"""One click to one answer on a photo of 12 megapixels, against a bare decode and one gradient.

The files are given pictures enlarged bicubically, with grain of 2 grey values added and saved as
JPEG at quality 92, in a temporary folder. The peer does the least a program could do with the same
file in the same run: Pillow decodes it and OpenCV takes the gradient of the whole picture.
The child that decodes stands ready, as it does for whoever works at the window: it was started
before. Then the same where it has yet to be started, as on the command line. Wall-clock times;
beside them the processor's, of this process and of its children once they have ended, which a busy
machine does not stretch.
"""

import subprocess
import sys
import tempfile
import time
from os import times
from pathlib import Path
from statistics import median

import numpy as np
from msgspec import Struct
from PIL import Image, ImageOps

from annotate.coverage import measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from capture.entry import parse_length
from capture.errors import CaptureError
from capture.intake.decode import standby
from capture.intake.photo import read_photo
from capture.layers import bare_layer, with_rims
from tests.bench.scenes import Scene, scene_groups

PICTURES = 8
MEGAPIXELS = 12.0
LARGE_MEGAPIXELS = 50.0
PEER = "peer: decode and gradient"
READ, WHOLE = "read", "file to answer"
_GRAIN = 2.0
_BETWEEN_S = 1.5  # from one photo to the next: a person takes longer


class Spent(Struct, frozen=True):
    """Seconds on the wall and of the processor, children included."""

    wall: float
    processor: float


def print_speed(folder: Path) -> None:
    """Print each step's time, as a multiple of the peer's too, and the memory of a large photo."""
    scenes = [s for _, group in scene_groups(folder) for s in group if s.kind == "oil_hole"]
    if not scenes:
        raise SystemExit(f"no oil holes in {folder}")
    steps: dict[str, list[Spent]] = {}
    with tempfile.TemporaryDirectory() as place:
        for scene in scenes[:PICTURES]:
            file, factor = enlarged(scene.picture, Path(place), MEGAPIXELS)
            # Once unmeasured: modules are loaded and the file is in the system's memory.
            for timed in ({}, steps):
                standby.begin()
                time.sleep(_BETWEEN_S)
                _time_one(scene, file, factor, timed)
            standby.end()
            alone: dict[str, list[Spent]] = {}
            _time_one(scene, file, factor, alone)
            for step in (READ, WHOLE):
                steps.setdefault(f"{step}, no child ready", []).extend(alone.get(step, []))
        _print_steps(steps, len(scenes[:PICTURES]))
        _print_memory(scenes[0], Path(place))


def enlarged(picture: Path, place: Path, megapixels: float) -> tuple[Path, float]:
    """Return a larger copy of a picture, with grain, and by how much its sides grew."""
    with Image.open(picture) as small:
        upright = ImageOps.exif_transpose(small).convert("RGB")
    factor = (megapixels * 1e6 / (upright.width * upright.height)) ** 0.5
    size = (round(upright.width * factor), round(upright.height * factor))
    pixels = np.asarray(upright.resize(size, Image.Resampling.BICUBIC), np.float32)
    grain = np.random.default_rng(1).normal(0, _GRAIN, (*pixels.shape[:2], 1))
    file = place / f"{picture.stem}-{megapixels:.0f}.jpg"
    noisy = np.clip(pixels + grain.astype(np.float32), 0, 255).astype(np.uint8)
    Image.fromarray(noisy).save(file, quality=92)
    return file, factor


def _time_one(scene: Scene, file: Path, factor: float, steps: dict[str, list[Spent]]) -> None:
    def timed(step: str, begin: tuple[float, float]) -> None:
        now = _now()
        steps.setdefault(step, []).append(Spent(now[0] - begin[0], now[1] - begin[1]))

    begin = _now()
    _peer(file)
    timed(PEER, begin)
    first = begin = _now()
    photo = read_photo(file)
    timed(READ, begin)
    begin = _now()
    click = tuple((v + 0.5) * factor - 0.5 for v in scene.click)
    try:
        layer = with_rims(bare_layer(photo), photo, click=(click[0], click[1])).layer
        timed("rims found", begin)
        begin = _now()
        measure(layer, Givens(near_diameter=parse_length(f"{scene.known_near_mm:.2f} mm")))
        timed("measured", begin)
        timed(WHOLE, first)
    except (AnnotateError, CaptureError):
        timed("refused, from file on", first)


def _peer(file: Path) -> None:
    import cv2  # noqa: PLC0415 - only here

    with Image.open(file) as picture:
        pixels = np.asarray(picture)
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    cv2.magnitude(cv2.Sobel(grey, cv2.CV_32F, 1, 0), cv2.Sobel(grey, cv2.CV_32F, 0, 1))


def _now() -> tuple[float, float]:
    try:
        import resource  # noqa: PLC0415 - not on every system
    except ImportError:
        return time.perf_counter(), sum(times()[:4])
    # In microseconds, where the other counts in hundredths of a second.
    spent = [resource.getrusage(of) for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return time.perf_counter(), sum(s.ru_utime + s.ru_stime for s in spent)


def _print_steps(steps: dict[str, list[Spent]], count: int) -> None:
    print(f"one click, {count} pictures of {MEGAPIXELS:.0f} megapixels, warm; medians")
    print(f"{'':32}{'wall':>9}{'x peer':>9}{'processor':>13}{'x peer':>9}")
    wall = median(s.wall for s in steps[PEER])
    busy = max(median(s.processor for s in steps[PEER]), 1e-9)
    last = [f"{step}, no child ready" for step in (READ, WHOLE)]
    for step in [*(step for step in steps if step not in last), *last]:
        spent = steps[step]
        here, cpu = median(s.wall for s in spent), median(s.processor for s in spent)
        print(
            f"{step:32}{here * 1e3:>6.0f} ms{here / wall:>9.1f}{cpu * 1e3:>10.0f} ms"
            f"{cpu / busy:>9.1f}   {len(spent)} x"
        )


def _print_memory(scene: Scene, place: Path) -> None:
    """Print the largest resident size while a photo of 50 megapixels is read and looked at."""
    file, factor = enlarged(scene.picture, place, LARGE_MEGAPIXELS)
    x, y = ((v + 0.5) * factor - 0.5 for v in scene.click)
    told = subprocess.run(
        [sys.executable, "-m", "tests.bench.memory", str(file), str(x), str(y)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    print(told.stdout, end="")
