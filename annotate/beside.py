"""What counts for a coverage beside the marks on its photo: other photos, and repeated marking."""

from msgspec import UNSET, Struct, UnsetType

from annotate.marks import Layer
from annotate.optics.profile import LensProfile


class Sight(Struct, frozen=True):
    """The marks on one photo, and the camera's lens profile as it is used on it."""

    layer: Layer
    lens: LensProfile | None = None


class Repeats(Struct, frozen=True):
    """How far repeated marks lie apart, as multiples of what was taken, with degrees of freedom.

    ``ratio`` is of all marks, whoever placed them; ``own`` of one person's, and ``people`` what
    several people add to that (variances add up). ``people`` is unset where nobody else marked.
    In older entries all was one ratio: ``own`` is then unset too.
    """

    ratio: float
    dof: float
    own: float | UnsetType = UNSET
    own_dof: float | UnsetType = UNSET
    people: float | UnsetType = UNSET
    people_dof: float | UnsetType = UNSET

    @property
    def own_excess(self) -> float:
        """Return one person's spread beyond what was taken, as a part of that."""
        own = self.ratio if self.own is UNSET else self.own
        return float(max(own**2 - 1, 0.0) ** 0.5)

    @property
    def people_excess(self) -> float:
        """Return what several people add to that, as far as the two are more than was taken."""
        if self.own is UNSET or self.people is UNSET:
            return 0.0
        both = max(self.own**2 + self.people**2 - 1, 0.0)
        return float(max(both - self.own_excess**2, 0.0) ** 0.5)


class Beside(Struct, frozen=True):
    """Further photos of the same hole, measured as one with it, and what marking again showed."""

    others: tuple[Sight, ...] = ()
    repeats: Repeats | None = None
