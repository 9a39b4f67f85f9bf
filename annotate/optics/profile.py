"""A camera's lens as measured: what it does to a picture, and how well that is known.

A profile is right for one camera at one zoom and focus (``calibration`` makes it);
``LensProfile.used_on`` says how doubtful it is on another photo of that camera.
"""

from math import hypot, isfinite, log, sqrt
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct, structs

from annotate.errors import BadMark, CannotMeasure
from annotate.marks import FarUnseen, Layer, Mark, Marker, Point, Points, Rim, rescaled_px

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Array: TypeAlias = "npt.NDArray[np.float64]"

# What another focus changes (common practice, no source): the focal length by 2 %, the distortion
# by a twentieth of itself; a stabiliser moves the picture by 0.3 % of its diagonal.
_FOCUS_DOUBT, _BEND_DOUBT, _SHAKE_DOUBT = 0.02, 0.05, 0.003
_OTHER_LENS = 0.1  # a focal length that differs by more is another zoom, or another lens


class LensProfile(Struct, frozen=True, omit_defaults=True):
    """A camera's focal lengths, principal point and distortion (OpenCV's model), in pixels.

    ``width_px`` and ``height_px`` are those of the photos it came from; ``rms_px`` is the root
    mean square distance left between their corners and the model. Standard uncertainties: of the
    focal lengths, of the principal point, and ``u_barrel`` of what is left of the distortion, as
    a part of the picture's half diagonal at its corner. ``focal_35mm`` is what the photos' files
    said, ``reach`` how far out corners were seen, as a part of the half diagonal.
    """

    fx: float
    fy: float
    cx: float
    cy: float
    k1: float
    k2: float
    p1: float
    p2: float
    k3: float
    width_px: int
    height_px: int
    rms_px: float
    u_focal_px: float = 0.0
    u_centre_px: float = 0.0
    u_barrel: float = 0.0
    focal_35mm: float | None = None
    reach: float = 1.0

    def __post_init__(self) -> None:
        numbers = (self.cx, self.cy, self.k1, self.k2, self.p1, self.p2, self.k3, self.rms_px)
        if not (min(self.fx, self.fy) > 0 and all(map(isfinite, (self.fx, self.fy, *numbers)))):
            raise BadMark("a lens profile needs positive focal lengths and finite terms")
        doubts = (self.u_focal_px, self.u_centre_px, self.u_barrel, self.rms_px)
        if not all(0 <= doubt < float("inf") for doubt in doubts):
            raise BadMark("a lens profile's uncertainties must be finite and not below 0")
        if not all(0 < part < float("inf") for part in (self.reach, self.focal_35mm or 1.0)):
            raise BadMark("a lens profile's reach and focal length must be more than 0")
        if min(self.width_px, self.height_px) < 1:
            raise BadMark("a lens profile needs the size of its pictures")

    @property
    def focal_px(self) -> float:
        """Return the focal length of the straightened picture, one for both directions."""
        return (self.fx + self.fy) / 2

    def used_on(self, layer: Layer) -> "LensProfile":
        """Return the profile for a layer's photo: scaled to its size, and as doubtful as it is.

        To the uncertainties comes what another focus changes, and the difference between the
        focal lengths that the files state; of a photo with the camera on its side, as much as
        does not tell which way it was turned. Raises CannotMeasure for another shape of picture
        and for another zoom.
        """
        size = (layer.width_px, layer.height_px)
        if _is_shape_of(layer, self.width_px, self.height_px):
            upright = self
        elif self.is_turned_on(layer):
            upright = self._on_its_side()
        else:
            raise CannotMeasure(
                f"the lens profile is of pictures of {self.width_px} x {self.height_px} pixels, "
                f"and this one has another shape, {size[0]} x {size[1]}",
                "use a photo that was not cropped, or make a profile of such photos",
            )
        factor = size[0] / upright.width_px
        zoomed = abs(log((layer.focal_35mm or 1.0) / (self.focal_35mm or 1.0)))
        if layer.focal_35mm is None or self.focal_35mm is None:
            zoomed = 0.0
        if zoomed > _OTHER_LENS:
            raise CannotMeasure(
                f"the lens profile is of {self.focal_35mm:g} mm (35 mm equivalent), and this photo "
                f"was taken at {layer.focal_35mm:g} mm",
                "make a profile at this zoom, or measure without one",
            )
        half_px = hypot(*size) / 2
        focal = self.focal_px * factor
        return structs.replace(
            upright,
            fx=upright.fx * factor,
            fy=upright.fy * factor,
            cx=rescaled_px(upright.cx, factor),
            cy=rescaled_px(upright.cy, factor),
            width_px=size[0],
            height_px=size[1],
            rms_px=self.rms_px * factor,
            u_focal_px=hypot(self.u_focal_px * factor, _FOCUS_DOUBT * focal, zoomed * focal),
            u_centre_px=hypot(upright.u_centre_px * factor, _SHAKE_DOUBT * 2 * half_px),
            u_barrel=hypot(upright.u_barrel, _BEND_DOUBT * self.barrel()),
        )

    def is_turned_on(self, layer: Layer) -> bool:
        """Return whether a layer's photo has the shape of the profile's, turned by a quarter."""
        width, height = self.width_px, self.height_px
        return not _is_shape_of(layer, width, height) and _is_shape_of(layer, height, width)

    def _on_its_side(self) -> "LensProfile":
        """Return the profile for pictures turned by a quarter, this way or that.

        What is the same for both turns stays; what has one sign for the one and the other sign for
        the other (the axis's offset from the picture's middle, the tangential terms) is 0, and as
        doubtful as it is large.
        """
        middle = (self.width_px - 1) / 2, (self.height_px - 1) / 2
        off = self.cx - middle[0], self.cy - middle[1]
        half_px = hypot(self.width_px, self.height_px) / 2
        # Bent about a place that is off by so much: the slope of a barrel is three times itself.
        beside = 3 * self.barrel() * hypot(*off) / half_px
        # At the corner: OpenCV's model, 3 p r^2 along p, with r = half_px / focal length.
        sideways = 3 * hypot(self.p1, self.p2) * half_px / self.focal_px
        return structs.replace(
            self,
            fx=self.fy,
            fy=self.fx,
            cx=middle[1],
            cy=middle[0],
            p1=0.0,
            p2=0.0,
            width_px=self.height_px,
            height_px=self.width_px,
            u_centre_px=hypot(self.u_centre_px, max(map(abs, off))),
            u_barrel=hypot(self.u_barrel, beside, sideways),
        )

    def barrel(self) -> float:
        """Return the distortion as a barrel: the corner's shift inwards, over the half diagonal.

        One radial term that shifts the farthest place seen by as much; negative is a pincushion.
        """
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        half_px, part = hypot(self.width_px, self.height_px) / 2, min(self.reach, 1.0)
        out = part * half_px * np.array([0.8, 0.6])
        bent = self.bend(self.centre() + out) - self.centre()
        inwards = np.linalg.norm(out) - np.linalg.norm(bent)
        return float(inwards) / half_px / part**3

    def centre(self) -> Array:
        """Return where the optical axis meets the picture, in pixels."""
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        return np.array([self.cx, self.cy])

    def matrix(self) -> Array:
        """Return the camera matrix (3, 3)."""
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        return np.array([[self.fx, 0, self.cx], [0, self.fy, self.cy], [0, 0, 1.0]])

    def terms(self) -> Array:
        """Return the distortion terms k1, k2, p1, p2, k3."""
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        return np.array([self.k1, self.k2, self.p1, self.p2, self.k3])

    def straighten(self, points_px: Points) -> Points:
        """Return where the points (N, 2) would be in a picture without distortion, in pixels."""
        import cv2  # noqa: PLC0415 - 100 ms that most verbs never need
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        # Until it settles: OpenCV's five rounds leave up to a pixel near the corners.
        until = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 100, 1e-12)
        one_focal = self.matrix()
        one_focal[0, 0] = one_focal[1, 1] = self.focal_px
        straight = cv2.undistortPoints(
            np.asarray(points_px, np.float64).reshape(-1, 1, 2),
            self.matrix(),
            self.terms(),
            None,
            None,
            one_focal,
            until,
        )
        return np.asarray(straight, dtype=np.float64).reshape(-1, 2)

    def bend(self, points_px: Array) -> Array:
        """Return where points (..., 2) of a picture without distortion really are, in pixels.

        The undoing of ``straighten``, by the model's own formula as OpenCV documents it.
        """
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        x, y = np.moveaxis((np.asarray(points_px) - (self.cx, self.cy)) / self.focal_px, -1, 0)
        r2 = x * x + y * y
        radial = 1 + r2 * (self.k1 + r2 * (self.k2 + r2 * self.k3))
        u = x * radial + 2 * self.p1 * x * y + self.p2 * (r2 + 2 * x * x)
        v = y * radial + self.p1 * (r2 + 2 * y * y) + 2 * self.p2 * x * y
        return np.stack([self.fx * u + self.cx, self.fy * v + self.cy], axis=-1)

    def straightened(self, layer: Layer) -> Layer:
        """Return a layer's rims and markers as they would be in a picture without distortion.

        A rim's points are as uncertain as the picture is stretched there. Other marks are left
        out: they say nothing of holes.
        """
        marks = [self._straight_mark(mark) for mark in layer.marks]
        return structs.replace(layer, marks=tuple(mark for mark in marks if mark is not None))

    def _straight_mark(self, mark: Mark) -> Mark | None:
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        match mark:
            case Rim() if mark.points_px:
                return structs.replace(
                    mark,
                    points_px=_pairs(self.straighten(mark.array_px())),
                    sigma_px=mark.sigma_px * self._stretch(mark.array_px().mean(axis=0)),
                    seed=self._straight_point(mark.seed),
                )
            case Marker():
                corners = _pairs(self.straighten(np.asarray(mark.corners_px)))
                return structs.replace(mark, corners_px=corners)
            case Rim() | FarUnseen():
                return mark
        return None

    def _straight_point(self, point: Point | None) -> Point | None:
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        if point is None:
            return None
        ((x, y),) = _pairs(self.straighten(np.array([[point.x_px, point.y_px]])))
        return Point(x, y)

    def _stretch(self, at_px: Array) -> float:
        """Return by how much straightening enlarges the picture at a place (2,)."""
        import numpy as np  # noqa: PLC0415 - slow to load, and the record alone needs none

        here, right, down = self.straighten(at_px + np.array([[0.0, 0], [1, 0], [0, 1]]))
        (a, b), (c, d) = right - here, down - here
        return sqrt(float(abs(a * d - b * c)))


def _is_shape_of(layer: Layer, width_px: int, height_px: int) -> bool:
    factor = layer.width_px / width_px
    return abs(height_px * factor - layer.height_px) <= max(1.0, factor)


def _pairs(points_px: Points) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points_px)
