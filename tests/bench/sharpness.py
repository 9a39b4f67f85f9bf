"""Pictures with a known answer, blurred by known amounts: the figure, and what blur does to rims.

``python -m tests.bench.sharpness FOLDER [MOST]`` prints where "not sharp" begins. The middle
picture's error hardly changes with blur; the worst tenth's does. 24 rendered pictures, one click,
diameter, wall and bore given, November 2026:

    blur   edge width: median (10 to 90 %)   found   |error| in points: median, 90 %
     0.0           2.3 (1.1 to 3.4)              18    0.6    1.3
     1.0           3.5 (2.8 to 4.5)              17    0.8    5.8
     1.5           4.7 (4.2 to 5.3)              17    0.7    3.3

So 4 px: as good as all pictures as they were rendered are sharp, and beyond it the worst tenth is
off by three times as much or more. Seventeen pictures carry no finer line.
"""

import sys
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from annotate.coverage import measure
from annotate.errors import AnnotateError
from annotate.givens import Givens
from annotate.result import Known
from capture.desk.photos.sharpness import ACROSS_PX, edge_width_px
from capture.entry import parse_length
from capture.errors import CaptureError
from capture.intake.photo import Photo, read_photo
from capture.layers import bare_layer, with_rims
from tests.bench.scenes import Scene, scene_groups

SIGMAS = (0.0, 1.0, 1.5, 2.0, 3.0)  # px of a picture 1600 across
_TRIALS = 600


def print_sharpness(folder: Path, most: int = 40) -> None:
    """Print, for each added blur, how wide edges are and what one click makes of the pictures."""
    scenes = [s for _, group in scene_groups(folder) for s in group if s.kind == "oil_hole"][:most]
    photos = [read_photo(scene.picture) for scene in scenes]
    print(f"{len(scenes)} pictures; blur and edge width in px of a picture {ACROSS_PX} across")
    print("blur   edge width: median (10 to 90 %)   found   |error| in points: median, 90 %")
    for sigma in SIGMAS:
        blurred = [_blurred(photo, sigma) for photo in photos]
        wide = [w for p in blurred if p.pixels is not None and (w := edge_width_px(p.pixels))]
        low, middle, high = np.quantile(wide, (0.1, 0.5, 0.9))
        off = [e for s, p in zip(scenes, blurred, strict=True) if (e := _error(s, p)) is not None]
        errors = f"{np.median(off):6.1f} {np.quantile(off, 0.9):6.1f}" if off else "     -      -"
        print(f"{sigma:4.1f}   {middle:11.1f} ({low:.1f} to {high:.1f}) {len(off):15d} {errors}")


def _blurred(photo: Photo, sigma: float) -> Photo:
    import cv2  # noqa: PLC0415 - one bench, one set of imports

    if sigma == 0 or photo.pixels is None:
        return photo
    own = sigma * max(1.0, max(photo.pixels.shape) / ACROSS_PX)
    blurred = np.asarray(cv2.GaussianBlur(photo.pixels, (0, 0), own), np.uint8)
    return replace(photo, pixels=blurred)


def _error(scene: Scene, photo: Photo) -> float | None:
    """Return how far the coverage is from the truth, in points; None if no rims are found."""
    near = scene.known_near_mm
    if near is None:
        return None
    givens = Givens(
        near_diameter=parse_length(f"{near} mm", unit="mm"),
        wall=parse_length(scene.typed_wall, unit="mm"),
        bore_diameter=parse_length(scene.typed_bore, unit="mm"),
    )
    try:
        layer = with_rims(bare_layer(photo), photo, click=scene.click).layer
        covered = measure(layer, givens, trials=_TRIALS).covered
    except (AnnotateError, CaptureError):
        return None
    if not isinstance(covered, Known):
        return None
    return 100 * abs(covered.quantity.value - scene.true_covered)


if __name__ == "__main__":
    print_sharpness(Path(sys.argv[1]), *(int(most) for most in sys.argv[2:]))
