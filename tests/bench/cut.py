"""Holes that the picture's border cuts: what one click makes of a part of each picture.

Each picture is cropped on one side, chosen by its name, so that a part of the near rim's width is
gone, or so much room is left beside it. A cut hole may be refused or answered; what counts is how
often an answer's interval holds the truth, and how often a whole hole is refused for its border.
The camera's axis is no longer in the middle of such a picture, as of any that was cropped.
"""

import multiprocessing
import os
import zlib
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from msgspec import structs
from PIL import Image

from tests.bench import tool
from tests.bench.scenes import PixelPair, Scene, scene_groups

# Of the near rim's width: gone, or (below 0) left between rim and border.
PARTS = (0.35, 0.2, 0.12, 0.08, 0.05, 0.02, -0.02, -0.06, -0.15, -0.4)
_WAY = f"one click, {tool.WALLED}"
_BORDER = "the picture's border cuts the hole off"
_ROOM = 5.0  # pixels between a click and the border, or there is no hole to click into

Answered = tuple[float, str]  # part, and "hit", "missed", "border" or "else"


def print_cut(folder: Path, *, processes: int = 2, count: int | None = None) -> None:
    """Print one table of all pictures of two holes in a folder and below it."""
    scenes = [s for _, some in scene_groups(folder, 0, count) for s in some if s.near_points]
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        found = [one for each in pool.imap(of_scene, scenes) for one in each]
    print(f"\n{folder.name}: {len(scenes)} pictures, {_WAY} given; 95 % intervals of covered")
    print("  of the near rim's width   pictures  answered  in the interval  border  else")
    for part in PARTS:
        told = [how for at, how in found if at == part]
        words = f"{abs(part):4.0%} {'cut off' if part > 0 else 'room left'}"
        hit, missed = told.count("hit"), told.count("missed")
        held = f"{hit}/{hit + missed}"
        print(f"  {words:24}  {len(told):8}  {hit + missed:8}  {held:>15}"
              f"  {told.count('border'):6}  {told.count('else'):4}")  # fmt: skip


def of_scene(scene: Scene, parts: Sequence[float] = PARTS) -> list[Answered]:
    """Return what is answered of each part of a picture; runs in a child process."""
    return [(part, how) for part in parts if (how := _of_part(scene, part)) is not None]


def _of_part(scene: Scene, part: float) -> str | None:
    """Return how one cropped picture is answered, None where no hole is left to click into."""
    with Image.open(scene.picture) as picture, TemporaryDirectory() as folder:
        box = _box(scene, part, picture.size)
        x, y = scene.click[0] - box[0], scene.click[1] - box[1]
        width, height = box[2] - box[0], box[3] - box[1]
        if not (_ROOM < x < width - _ROOM and _ROOM < y < height - _ROOM):
            return None
        path = Path(folder) / "part.jpg"
        picture.crop(box).save(path, quality=95, exif=picture.info.get("exif", b""))
        shown = _moved(scene, path, (x, y))
        asked = tool.oil_hole(shown, (_WAY,))
    answer = next((a for way in asked for name, a in way.answers if name == "covered"), None)
    if answer is None or answer.value is None:
        return "border" if answer is not None and _BORDER in answer.reason else "else"
    low, high = answer.low or 0.0, answer.high or 0.0
    return "hit" if low <= scene.true_covered <= high else "missed"


def _box(scene: Scene, part: float, size: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return what is left of a picture (left, top, right, bottom), in pixels."""
    xs, ys = zip(*scene.near_points, strict=True)
    left, top, right, bottom = 0.0, 0.0, float(size[0]), float(size[1])
    across, down = part * (max(xs) - min(xs)), part * (max(ys) - min(ys))
    match zlib.crc32(f"{scene.name} {part}".encode()) % 4:
        case 0:
            left = max(left, min(xs) + across)
        case 1:
            right = min(right, max(xs) - across)
        case 2:
            top = max(top, min(ys) + down)
        case _:
            bottom = min(bottom, max(ys) - down)
    return int(left), int(top), int(right), int(bottom)


def _moved(scene: Scene, picture: Path, click: PixelPair) -> Scene:
    """Return a scene as its cropped picture shows it; the hidden truth is the same."""
    return structs.replace(scene, picture=picture, click=click, near_points=(), far_points=())
