"""One click to one answer, against Pillow decoding the same pictures in the same run."""

import io
import time
from pathlib import Path
from statistics import median

from PIL import Image, ImageOps

from annotate.coverage import measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from capture.entry import parse_length
from capture.errors import CaptureError
from capture.intake.photo import read_photo
from capture.layers import bare_layer, with_rims
from tests.bench.scenes import Scene, scene_groups

PICTURES = 12


def print_speed(folder: Path) -> None:
    """Print the time of each step, in ms a picture and as a multiple of Pillow's decoding."""
    scenes = [s for _, group in scene_groups(folder) for s in group if s.kind == "oil_hole"]
    steps: dict[str, list[float]] = {}
    for scene in scenes[:PICTURES]:
        _time_one(scene, steps)
    if not steps:
        raise SystemExit(f"no oil holes in {folder}")
    peer = median(steps["Pillow decodes it"])
    print(f"one click, {len(scenes[:PICTURES])} pictures, one process; medians")
    for step, times in steps.items():
        print(f"{step:24}{median(times) * 1e3:>8.0f} ms{median(times) / peer:>8.1f} x")


def _time_one(scene: Scene, steps: dict[str, list[float]]) -> None:
    def timed(step: str, begin: float) -> None:
        steps.setdefault(step, []).append(time.perf_counter() - begin)

    begin = time.perf_counter()
    with Image.open(io.BytesIO(scene.picture.read_bytes())) as picture:
        ImageOps.exif_transpose(picture).load()
    timed("Pillow decodes it", begin)
    begin = time.perf_counter()
    photo = read_photo(scene.picture)
    timed("read, in a child", begin)
    begin = time.perf_counter()
    try:
        layer = with_rims(bare_layer(photo), photo, click=scene.click).layer
    except (AnnotateError, CaptureError):
        timed("rims not found", begin)
        return
    timed("rims found", begin)
    begin = time.perf_counter()
    try:
        measure(layer, Givens(near_diameter=parse_length(f"{scene.known_near_mm:.2f} mm")))
    except AnnotateError:
        timed("measured: refused", begin)
        return
    timed("measured", begin)
