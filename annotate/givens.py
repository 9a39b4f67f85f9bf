"""What the person measuring knows of the two holes."""

from collections.abc import Iterator

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


# What no drilled oil hole has, so that a slip of the hand is told before anything is looked for.
_SMALLEST_MM, _LARGEST_MM = 0.2, 200.0
_THINNEST_MM = 0.01  # a foil
# Through a hole this many times deeper than wide hardly anything of a far rim can be seen.
_DEEPEST = 10.0
_HALF_WIDTH = 3**0.5  # of a rectangle, in standard uncertainties: what a typed +- means


def impossible(givens: Givens) -> dict[str, str]:
    """Return a sentence for each length that no real part has, by its field's name.

    Not asked when marks are measured again, for what a book holds stays as it was measured.
    """
    return dict(_impossible(givens))


def _impossible(givens: Givens) -> Iterator[tuple[str, str]]:
    near, wall, bore = (_mm(each) for each in (givens.near_diameter, givens.wall,
                                               givens.bore_diameter))  # fmt: skip
    for field, words in (("near_diameter", "near hole"), ("far_diameter", "far hole")):
        across = _mm(getattr(givens, field))
        if across is not None and not _SMALLEST_MM <= across <= _LARGEST_MM:
            size = "small" if across < _SMALLEST_MM else "large"
            told = (
                f"a {words} of {_said(across)} mm across is too {size} for a drilled oil hole: "
                "check the number and its unit"
            )
            yield field, told
    if wall is not None and wall < _THINNEST_MM:
        yield "wall", f"a wall of {_said(wall)} mm is thinner than foil: type it as it was measured"
    elif wall is not None and wall > _deepest_mm(near):
        where = "" if near is None else f" with a hole of {_said(near)} mm in it"
        told = (
            f"a wall of {_said(wall)} mm{where} is too deep for a far rim to be seen through it: "
            "type the thickness of the part in front alone"
        )
        yield "wall", told
    if bore is not None and near is not None and bore <= near:
        told = (
            f"a bore of {_said(bore)} mm is no larger than the near hole of {_said(near)} mm that "
            "is drilled through its wall: check both, or leave the bore out"
        )
        yield "bore_diameter", told
    for field in ("near_diameter", "far_diameter", "wall", "bore_diameter"):
        length: Quantity | None = getattr(givens, field)
        if length is not None and length.u * _HALF_WIDTH >= length.value:
            mm, words = length.to("mm"), field.replace("_", " ")
            told = (
                f"{words} {_said(mm.value)} mm +- {_said(mm.u * _HALF_WIDTH)} mm may as well be "
                "nothing: give the +- that it is known to, or leave the length out"
            )
            yield field, told


def _deepest_mm(near: float | None) -> float:
    return _LARGEST_MM if near is None else _DEEPEST * near


def _mm(length: Quantity | None) -> float | None:
    return None if length is None else length.to("mm").value


def _said(mm: float) -> str:
    """Return a number as a person writes it, without an exponent."""
    text = f"{mm:.6g}"
    return text if "e" not in text else f"{mm:.10f}".rstrip("0").rstrip(".")
