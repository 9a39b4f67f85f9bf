"""What the person measuring knows of the two holes."""

from msgspec import Struct

from annotate.errors import BadMark
from annotate.quantity import Quantity


class Givens(Struct, frozen=True):
    """What the person measuring knows of the two holes; lengths, None where unknown.

    ``near_diameter`` and ``far_diameter`` are drilled diameters, ``wall`` the thickness of the
    part in front, ``bore_diameter`` that of the bore its face is part of; ``flat`` says that the
    face is a plane instead.
    """

    near_diameter: Quantity | None = None
    far_diameter: Quantity | None = None
    wall: Quantity | None = None
    bore_diameter: Quantity | None = None
    flat: bool = False

    def __post_init__(self) -> None:
        if self.flat and self.bore_diameter is not None:
            raise BadMark("a face is flat or part of a bore, not both")
