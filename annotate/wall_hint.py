"""What typed sizes foretell of the near hole's own far edge, before it is looked for."""

from math import hypot, isfinite

from msgspec import Struct

from annotate.errors import BadMark
from annotate.quantity import Quantity


class WallHint(Struct, frozen=True, omit_defaults=True):
    """The wall's thickness in near radii, and its standard uncertainty ``u_radii``.

    ``focal_px`` is the focal length in pixels of the upright picture, None where nothing tells it.
    """

    radii: float
    u_radii: float
    focal_px: float | None = None

    def __post_init__(self) -> None:
        sizes_ok = 0 < self.radii < float("inf") and 0 <= self.u_radii < float("inf")
        focal_ok = self.focal_px is None or (isfinite(self.focal_px) and self.focal_px > 0)
        if not (sizes_ok and focal_ok):
            raise BadMark("what is known of a wall needs positive finite sizes")


def wall_hint(
    near_diameter: Quantity | None, wall: Quantity | None, focal_px: float | None
) -> WallHint | None:
    """Return what a typed wall and near diameter foretell, None where either is not given."""
    if near_diameter is None or wall is None:
        return None
    near, thick = near_diameter.to("mm"), wall.to("mm")
    if near.value <= 0 or thick.value <= 0:
        return None
    radii = 2 * thick.value / near.value
    u_radii = radii * hypot(near.u / near.value, thick.u / thick.value)
    return WallHint(radii, u_radii, focal_px)
