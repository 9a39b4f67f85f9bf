"""What is wrong with a photo, in words that say what to do. No Qt.

Not sharp; light burnt out at a rim; no scale in the picture where one is needed; the camera held
askew. Nothing here changes a number: the measurement has its own doubts and counts them itself.
"""

import numpy as np
import numpy.typing as npt
from msgspec import Struct
from msgspec.structs import replace

from annotate.fit import outline_points, shape_matrix
from annotate.marks import Ellipse, KnownCircle, KnownDistance, Layer, Marker, to_corner_px
from annotate.own_targets import CARD_DICTIONARY, TAG_DICTIONARY, TAG_MM
from annotate.pane.levels import PictureLevels, Pixels
from annotate.quantity import Quantity
from annotate.result import Coverage, Known
from capture.desk.photos.sharpness import ACROSS_PX, WIDE_PX, edge_width_px, is_sharp
from store.evidence import Marked, PhotoTaken
from store.round import Check

BURNT = 250  # of 255, in any channel: JPEG leaves a clipped white a little below its top
BURNT_DEG = 30.0  # of a rim's 360, from which it is told
TILT_DEG = 15.0  # a wall of 2 mm then shifts the far hole by half a millimetre (2 tan 15 deg)
_BESIDE = (0.94, 0.97, 1.0, 1.03, 1.06)  # of the rim's own size: the strip that tells where it is
_FEWEST_BESIDE = 2
_DIRECTIONS = 360
_MARKERS_PX = 4096
_AROUND = 1.6
_MARKER_MM = Quantity(TAG_MM, "mm")  # any: only whether one is seen is asked here


class Looks(Struct, frozen=True):
    """What a photo looks like: edge widths in px of a picture 1600 across, burnt degrees of rims.

    ``rim_width_px`` is that of the edges round the accepted near rim, None where there is none.
    """

    width_px: float | None
    rim_width_px: float | None = None
    burnt_near_deg: float = 0.0
    burnt_far_deg: float = 0.0
    marker: bool = False

    @property
    def judged_px(self) -> float | None:
        """The edge width that is judged: the rim's where it is known, else the whole picture's."""
        return self.rim_width_px if self.rim_width_px is not None else self.width_px


def looks_of(
    levels: PictureLevels, result: Coverage | None = None, *, seek_marker: bool = True
) -> Looks:
    """Return what a picture looks like, round the rims of a result if there is one.

    Takes 0.1 s, and most of a second more where a printed marker is looked for.
    """
    near = result.near if result is not None else None
    far = result.far if result is not None else None
    whole = levels.levels[0]
    return Looks(
        width_px=edge_width_px(_at_least(levels, ACROSS_PX)),
        rim_width_px=_rim_width(whole, near) if near is not None else None,
        burnt_near_deg=_burnt_deg(whole, near) if near is not None else 0.0,
        burnt_far_deg=_burnt_deg(whole, far, near) if far is not None else 0.0,
        marker=seek_marker and _shows_marker(levels),
    )


def sharpness_words(looks: Looks) -> str:
    """Return "sharp, edges 1.8 px wide" or the like."""
    width = looks.judged_px
    if width is None:
        return "no edge to judge sharpness by"
    figure = "under 1 px" if width < 1 else f"{width:.1f} px"
    return f"{'sharp' if is_sharp(width) else 'not sharp'}, edges {figure} wide"


def warnings_of(
    looks: Looks, taken: PhotoTaken, check: Check | None, marked: Marked | None
) -> tuple[str, ...]:
    """Return a sentence for each thing that is wrong, the worst first; empty if nothing is."""
    return tuple(filter(None, (
        _not_sharp(looks),
        _burnt(looks.burnt_near_deg, "near"),
        _burnt(looks.burnt_far_deg, "far"),
        _tilted(marked),
        _no_scale(looks, taken, check, marked),
    )))  # fmt: skip


def _not_sharp(looks: Looks) -> str:
    width = looks.judged_px
    if width is None or is_sharp(width):
        return ""
    return (
        f"not sharp: edges {width:.1f} px wide in {ACROSS_PX}, up to {WIDE_PX:g} is sharp. Rest "
        "the camera, focus on the rim, take it again"
    )


def _burnt(degrees: float, which: str) -> str:
    if degrees < BURNT_DEG:
        return ""
    arc = f"{degrees:.0f}\N{DEGREE SIGN}"
    return f"burnt out along {arc} of the {which} rim: turn the lamp, or expose darker"


def _tilted(marked: Marked | None) -> str:
    sight = marked.result.line_of_sight if marked is not None else None
    if not isinstance(sight, Known) or sight.quantity.value < TILT_DEG:
        return ""
    return (
        f"taken {sight.quantity.value:.0f}\N{DEGREE SIGN} off the hole's axis: that is counted in "
        "the result, and a squarer photo is surer"
    )


def needs_scale(taken: PhotoTaken, check: Check | None, marked: Marked | None) -> bool:
    """Return whether something of a known size must be in the picture, marks apart."""
    if taken.role == "with scale":
        return True
    if check is None or check.characteristic.kind != "coverage":
        return False
    given = marked.givens if marked is not None else check.characteristic
    if given.near_diameter is not None or given.far_diameter is not None:
        return False
    return marked is None or not _has_scale(marked.layer)


def _no_scale(looks: Looks, taken: PhotoTaken, check: Check | None, marked: Marked | None) -> str:
    if looks.marker or not needs_scale(taken, check, marked):
        return ""
    if taken.role == "with scale":
        return (
            "no printed marker is found in this photo with scale: get the card in whole with its "
            "white border, or mark a known length on it"
        )
    return (
        "nothing of a known size is in the picture, so no millimetres can be given: type the near "
        "hole's diameter, or lay the card beside the hole and take it again"
    )


def _has_scale(layer: Layer) -> bool:
    return any(isinstance(mark, Marker | KnownDistance | KnownCircle) for mark in layer.marks)


def _at_least(levels: PictureLevels, longest: int) -> Pixels:
    """Return the smallest level that is no smaller than this, the picture itself if none is."""
    return next(
        (level for level in reversed(levels.levels) if max(level.shape[:2]) >= longest),
        levels.levels[0],
    )


def _rim_width(whole: Pixels, rim: Ellipse) -> float | None:
    reach = _AROUND * rim.semi_major
    x, y = to_corner_px(rim.cx), to_corner_px(rim.cy)
    left, top = max(0, int(x - reach)), max(0, int(y - reach))
    around = whole[top : max(0, int(y + reach)), left : max(0, int(x + reach))]
    if not around.size:
        return None
    return edge_width_px(np.ascontiguousarray(around), of_px=max(whole.shape[:2]))


def _burnt_deg(whole: Pixels, rim: Ellipse, inside: Ellipse | None = None) -> float:
    """Return along how many degrees of a rim the picture has no more light to show.

    Of a far rim that is only where it is seen: inside the near one.
    """
    burnt = np.zeros(_DIRECTIONS, dtype=np.int64)
    for size in _BESIDE:
        beside = replace(rim, semi_major=rim.semi_major * size, semi_minor=rim.semi_minor * size)
        x, y = np.rint(outline_points(beside, _DIRECTIONS)).astype(np.int64).T
        burnt += _at(whole, x, y) >= BURNT
    told = burnt >= _FEWEST_BESIDE
    if inside is not None:
        off = outline_points(rim, _DIRECTIONS) - np.array([inside.cx, inside.cy])
        told &= np.sum((off @ np.linalg.inv(shape_matrix(inside))) ** 2, axis=1) <= 1
    return float(told.sum() * 360 / _DIRECTIONS)


def _at(whole: Pixels, x: npt.NDArray[np.int64], y: npt.NDArray[np.int64]) -> npt.NDArray[np.uint8]:
    """Return the brightest channel at places of the picture, 0 outside of it."""
    high, wide = whole.shape[:2]
    inside = (x >= 0) & (x < wide) & (y >= 0) & (y < high)
    light = whole[np.clip(y, 0, high - 1), np.clip(x, 0, wide - 1)].max(axis=1)
    return np.asarray(np.where(inside, light, 0), np.uint8)


def _shows_marker(levels: PictureLevels) -> bool:
    from annotate.target import find_markers  # noqa: PLC0415 - heavy, only where one is looked for

    small = next(
        (level for level in levels.levels if max(level.shape[:2]) <= _MARKERS_PX), levels.levels[-1]
    )
    return any(find_markers(small, _MARKER_MM, d) for d in (CARD_DICTIONARY, TAG_DICTIONARY))
