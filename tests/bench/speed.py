"""One click to one answer on a photo of 12 megapixels, against a bare decode and one gradient.

The files are given pictures enlarged bicubically, with grain of 2 grey values added and saved as
JPEG at quality 92, in a temporary folder. The peer does the least a program could do with the same
file in the same run: Pillow decodes it and OpenCV takes the gradient of the whole picture.
The child that decodes stands ready, as it does for whoever works at the window: it was started
before; and OpenCV has one thread, as in the program, but as many as it likes for the peer. The
command line is timed as its user has it, from its start to its end, modules loaded and the answer
printed, against a program that loads the same libraries and does what the peer does.
Wall-clock times; beside them the processor's, of this process and of its children once they have
ended, which a busy machine does not stretch.
"""

import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from os import times
from pathlib import Path
from statistics import median

import cv2
import numpy as np
from msgspec import Struct
from PIL import Image, ImageOps

from annotate.coverage import measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from capture.commands import exits
from capture.entry import parse_length
from capture.errors import CaptureError
from capture.intake.decode import standby
from capture.intake.photo import read_photo
from capture.layers import bare_layer, with_rims
from tests.bench.peer import decode_and_gradient
from tests.bench.scenes import Scene, scene_groups

PICTURES = 8
MEGAPIXELS = 12.0
LARGE_MEGAPIXELS = 50.0
PEER = "peer: decode and gradient"
PROGRAM, COMMAND = "peer, a program of its own", "command line, start to end"
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
            for timed in ({}, steps):
                _time_programs(scene, file, factor, timed)
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
        steps.setdefault(step, []).append(_since(begin))

    threads = cv2.getNumThreads()
    begin = _now()
    decode_and_gradient(file)
    timed(PEER, begin)
    cv2.setNumThreads(1)
    first = begin = _now()
    photo = read_photo(file)
    timed("read", begin)
    begin = _now()
    try:
        layer = with_rims(bare_layer(photo), photo, click=_click(scene, factor)).layer
        timed("rims found", begin)
        begin = _now()
        measure(layer, Givens(near_diameter=parse_length(f"{scene.known_near_mm:.2f} mm")))
        timed("measured", begin)
        timed("file to answer", first)
    except (AnnotateError, CaptureError):
        timed("refused, from file on", first)
    finally:
        cv2.setNumThreads(threads)


def _time_programs(scene: Scene, file: Path, factor: float, steps: dict[str, list[Spent]]) -> None:
    x, y = _click(scene, factor)
    words = ["capture", "coverage", str(file), f"--click={x},{y}"]
    words.append(f"--near-diameter={scene.known_near_mm:.2f} mm")
    for step, of in ((PROGRAM, ["tests.bench.peer", str(file)]), (COMMAND, words)):
        begin = _now()
        ended = subprocess.run([sys.executable, "-m", *of], capture_output=True, check=False)
        spent = _since(begin)
        if ended.returncode not in {exits.DONE, exits.NOT_READ}:
            raise SystemExit(ended.stderr.decode())
        refused = ", refused" if ended.returncode == exits.NOT_READ else ""
        steps.setdefault(step + refused, []).append(spent)


def _click(scene: Scene, factor: float) -> tuple[float, float]:
    x, y = ((v + 0.5) * factor - 0.5 for v in scene.click)
    return x, y


def _since(begin: tuple[float, float]) -> Spent:
    now = _now()
    return Spent(now[0] - begin[0], now[1] - begin[1])


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
    # Programs last, beside their own peer.
    for step in sorted(steps, key=lambda step: step.startswith((PROGRAM, COMMAND))):
        spent, program = steps[step], step.startswith((PROGRAM, COMMAND))
        here, of = _medians(spent), _medians(steps[PROGRAM if program else PEER])
        print(
            f"{step:32}{here.wall * 1e3:>6.0f} ms{here.wall / of.wall:>9.1f}"
            f"{here.processor * 1e3:>10.0f} ms{here.processor / max(of.processor, 1e-9):>9.1f}"
            f"   {len(spent)} x"
        )


def _medians(spent: Sequence[Spent]) -> Spent:
    return Spent(median(s.wall for s in spent), median(s.processor for s in spent))


def _print_memory(scene: Scene, place: Path) -> None:
    """Print the largest resident size while a photo of 50 megapixels is read and looked at."""
    file, factor = enlarged(scene.picture, place, LARGE_MEGAPIXELS)
    x, y = ((v + 0.5) * factor - 0.5 for v in scene.click)
    told = subprocess.run(
        [sys.executable, "-m", "tests.bench.memory", str(file), str(x), str(y)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    print(told.stdout, end="")
