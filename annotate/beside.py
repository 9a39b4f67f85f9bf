"""What counts for a coverage beside the marks on its photo: other photos, and repeated marking."""

from msgspec import Struct

from annotate.marks import Layer
from annotate.optics.profile import LensProfile


class Sight(Struct, frozen=True):
    """The marks on one photo, and the camera's lens profile as it is used on it."""

    layer: Layer
    lens: LensProfile | None = None


class Repeats(Struct, frozen=True):
    """How many times as far as was taken repeated marks lie apart, and its degrees of freedom."""

    ratio: float
    dof: float

    @property
    def excess(self) -> float:
        """Return the spread beyond what was taken, as a part of that."""
        return float(max(self.ratio**2 - 1, 0.0) ** 0.5)


class Beside(Struct, frozen=True):
    """Further photos of the same hole, measured as one with it, and what marking again showed."""

    others: tuple[Sight, ...] = ()
    repeats: Repeats | None = None
