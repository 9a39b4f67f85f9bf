"""Edges that lie behind the plane of a target, or before it: what is seen of them, put right.

Through a pinhole at a height D over the target's plane everything of a plane z behind it, parallel
to it, is seen as if it lay in the target's plane and were smaller, D / (D + z) of what it is:
similar triangles. Whatever is made larger about the eye keeps its lines of sight, so this is exact
for any tilt, and takes a chamfer's depth along. Nothing in the picture tells z: it is typed.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.errors import CannotMeasure
from annotate.quantity import Quantity

Array = npt.NDArray[np.float64]

# Of the camera's height over the target: what is said to lie as far behind, or half of that
# before it, is a slip of the finger. A scale is then hardly carried over.
_FARTHEST, _NEAREST = 1.0, -0.5


class Lying(NamedTuple):
    """How the edges' plane lies, draw by draw (M,): its distance from the camera in mm.

    ``times``: by how much what is seen of it is larger than it was taken to be; ``times_if_exact``:
    the same with all typed lengths exactly as typed. ``possible``: whether before the camera.
    """

    face_mm: Array
    times: Array
    times_if_exact: Array
    possible: npt.NDArray[np.bool_]


def lying(
    over_mm: Array,
    paper_mm: Array,
    behind: Quantity | None,
    length: Array,
    rng: np.random.Generator,
) -> Lying:
    """Return how edges ``behind`` a print (before it: below 0) lie to a camera ``over_mm`` over it.

    They were taken to lie ``paper_mm`` behind it, and stay there without ``behind``. ``length`` is
    by how much the print, and with it the height, is larger than it was taken to be. All (M,).
    """
    if behind is None:
        same = np.ones(len(over_mm))
        return Lying(over_mm + paper_mm, same, same, np.ones(len(over_mm), dtype=bool))
    over, z = positive_mm(over_mm), behind.to("mm")
    face = over + z.draw(rng, len(over)) / length
    if_exact = over + z.value
    was = over + paper_mm
    return Lying(face, face / was, if_exact / was, np.minimum(face, if_exact) > 0)


def positive_mm(heights: Array) -> Array:
    """Return heights (M,) drawn from a normal about their median as ones that are all above 0.

    To first order the same: a height goes with the focal length, whose logarithm is what is known.
    """
    middle = float(np.median(heights))
    return np.asarray(middle * np.exp(heights / middle - 1))


def refuse_nonsense(behind: Quantity, height_mm: float) -> None:
    """Raise CannotMeasure for edges said to lie where the camera can't well see them."""
    z = behind.to("mm").value
    if _NEAREST * height_mm < z < _FARTHEST * height_mm:
        return
    raise CannotMeasure(
        f"the edges are said to lie {abs(z):.4g} mm {side_of(z)} the target, which is itself only "
        f"about {height_mm:.0f} mm from the camera",
        "check that length and its unit",
    )


def smaller_percent(z_mm: float, height_mm: float) -> float:
    """Return by how many per cent a length z behind the target's plane looks smaller than it is.

    Below 0: larger, for what lies before it.
    """
    return 100 * z_mm / (height_mm + z_mm)


def side_of(z_mm: float) -> str:
    """Return "behind", or "in front of" for below 0."""
    return "in front of" if z_mm < 0 else "behind"
