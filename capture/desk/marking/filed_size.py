"""A size measured freely as a reading: of which checks it may be one, its text and its doubt.

No Qt in here.
"""

from math import sqrt
from typing import NamedTuple

from annotate.quantity import Quantity
from capture.words.quantities import printed, quantity_text
from store.characteristic import Doubt
from store.round import Check, Place

_TAKEN_BY = {
    "distance": ("length", "depth"), "diameter": ("length",), "angle": ("angle",),
}  # fmt: skip
MEASURED_HERE = "measured on this photo"


class Target(NamedTuple):
    """A check that a size can be filed as a reading of; a depth lies BELOW or PROUD (``side``)."""

    key: str
    words: str
    side: str = ""

    @property
    def choice(self) -> str:
        """The value of this choice in a list."""
        return f"{self.key} {self.side}".strip()


def targets_of(kind: str, place: Place) -> tuple[Target, ...]:
    """Return the checks of a location that take a "distance", "diameter" or "angle"."""
    found: list[Target] = []
    for check in place.checks:
        asked = check.characteristic
        if asked.kind not in _TAKEN_BY.get(kind, ()) or check.excused:
            continue
        named = f"{asked.id}: {asked.question}"
        sides = ("BELOW", "PROUD") if asked.kind == "depth" else ("",)
        found += [Target(check.key, f"{named}, {side}" if side else named, side) for side in sides]
    return tuple(found)


def reading_text(size: Quantity, target: Target) -> str:
    """Return what is typed for a size: its figure, its unit, and the side of a depth."""
    return f"{quantity_text(size)} {target.side}".strip()


def doubts_of(size: Quantity) -> tuple[Doubt, ...]:
    """Return the doubt that a size brings along, so that the reading has its uncertainty.

    A doubt is a rectangle of half-width a, whose standard uncertainty is a / sqrt(3) (JCGM
    100:2008, 4.3.7): a is u times sqrt(3).
    """
    if size.u <= 0:
        return ()
    return (Doubt(MEASURED_HERE, Quantity(sqrt(3) * size.u, size.unit)),)


def kept_words(text: str, check: Check) -> str:
    """Return what is told once it is filed: what is kept, what is not, and what else counts."""
    return (
        f"{printed(text)} kept as a reading of {check.key}, with this photo and its doubt, "
        "without a gauge; the marks themselves stay a draft"
    )


def slip_words(text: str, target: Target) -> str:
    """Return what is told where it looks like a slip: it is asked about at its check."""
    said = f"{printed(text)} looks like a slip for {target.key} and is not filed"
    return f"{said}: type it there to be asked"
