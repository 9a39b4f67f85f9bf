"""One thing to be shown at a location: what is asked, its limits, its grid and its bands.

Measured values are Quantity; a depth is positive BELOW its datum and printed with the word.
A member at its default is not written, as in ``plan``.
"""

from functools import lru_cache
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.errors import BadPlan
from store.ids import check_id, check_unique

Kind = Literal[
    "coverage",  # fraction of an oil hole that is covered, measured on a photo
    "length",  # a typed length: diameter, gap, width
    "depth",  # a typed length from a datum, BELOW / FLUSH / PROUD
    "angle",
    "torque",
    "pressure",
    "time",
    "count",
    "pin",  # the largest pin that passed and the smallest that stopped: a band
    "yes-no",
    "note",  # words: an identity, a sealant and its batch
    "computed",  # a formula over other checks of the job
    "agreement",  # do two other checks agree? En number, limit 1
]
Of = Literal["covered", "covered of near", "covered of far", "pin", "open area"]
Rule = Literal["guarded", "simple"]
Which = Literal["new", "wear"]
Take = Literal["mean", "largest", "smallest", "range", "out-of-round", "taper"]
Shape = Literal["round", "slot", "groove"]
TYPED = ("length", "depth", "angle", "torque", "pressure", "time", "count", "pin", "yes-no", "note")
ANSWERED_IN_WORDS = ("yes-no", "note")
_MOST_REPEATS = 99


class Limit(Struct, frozen=True, omit_defaults=True):
    """What a value must be, with its pedigree.

    At least one of ``at_least`` and ``at_most``. ``source`` is the manual and page, or "builder's
    own". ``of`` names what a coverage limit speaks of. ``rule`` is how uncertainty is treated:
    "guarded" asks for 95 % odds either way (ISO 14253-1:2017), "simple" looks at the value alone.
    ``printed`` is the limit as its source prints it, in both units where it does; ``settled`` is
    the builder's answer where the two disagree: which was taken, and why.
    """

    source: str
    at_least: Quantity | None = None
    at_most: Quantity | None = None
    of: Of = "covered"
    rule: Rule = "guarded"
    printed: str = ""
    settled: str = ""

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise BadPlan('a limit needs its source: the manual and page, or "builder\'s own"')
        if self.at_least is None and self.at_most is None:
            raise BadPlan("a limit needs at_least, at_most or both")


class Doubt(Struct, frozen=True, omit_defaults=True):
    """One thing more that makes a reading uncertain: what, and by at most how much (+-)."""

    what: str
    half_width: Quantity

    def __post_init__(self) -> None:
        if not self.what.strip():
            raise BadPlan("a doubt needs its words: what makes the reading uncertain")
        if self.half_width.value <= 0:
            raise BadPlan(f"a doubt of +- {self.half_width.value} {self.half_width.unit} is none")


class Band(Struct, frozen=True, omit_defaults=True):
    """One band of a table that a value is looked up in: what to fit, and from where to where."""

    name: str
    at_least: Quantity | None = None
    at_most: Quantity | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadPlan("a band needs its name: what its table says to fit or to do")
        if self.at_least is None and self.at_most is None:
            raise BadPlan(f"band {self.name!r} needs at_least, at_most or both")


class Characteristic(Struct, frozen=True, omit_defaults=True):
    """One thing to be shown at a location; ``key`` of the job is "LOCATION.ID".

    ``question`` is what the bench asks in words. ``unit`` is taken for a typed number without
    one; ``resolution`` is what it is usually read to, with the kind of ``instrument``; ``gauge``
    names the one usually used. ``limit`` is the new limit, ``wear_limit`` that for a part used
    again, and ``judged_by`` says which decides. ``asks`` is the figure still to be looked up
    (words; the check is not proven while it is there without a limit).

    A grid has ``positions`` x ``axes`` x ``repeats`` readings, one where they are empty; ``take``
    is the number made of them. ``bands`` is a table that the value is looked up in, which judges
    nothing. ``formula`` belongs to a computed check, ``of`` names the two
    routes of an agreement. ``part`` is the part whose replacement voids what was proven.
    ``found``: the first attempt is as found, before any work. The lengths are what a coverage may
    be told.
    """

    id: str
    kind: Kind
    question: str
    unit: str
    limit: Limit | None = None
    wear_limit: Limit | None = None
    judged_by: Which = "new"
    asks: str = ""
    datum: str = ""
    gauge: str = ""
    instrument: str = ""
    resolution: Quantity | None = None
    positions: tuple[str, ...] = ()
    axes: tuple[str, ...] = ()
    repeats: int = 1
    take: Take = "mean"
    bands: tuple[Band, ...] = ()
    formula: str = ""
    of: tuple[str, str] | None = None
    part: str = ""
    found: bool = False
    material: str = ""
    doubts: tuple[Doubt, ...] = ()
    near_diameter: Quantity | None = None
    far_diameter: Quantity | None = None
    wall: Quantity | None = None
    bore_diameter: Quantity | None = None
    flat: bool = False
    shape: Shape = "round"
    caution: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)
        if (self.kind == "agreement") != (self.of is not None):
            raise BadPlan(f"{self.id}: an agreement, and only an agreement, has 'of'")
        if (self.kind == "computed") != bool(self.formula.strip()):
            raise BadPlan(f"{self.id}: a computed check, and only a computed one, has 'formula'")
        if self.judged_by == "wear" and self.limit and not self.wear_limit:
            raise BadPlan(f"{self.id}: judged by a wear limit that is not given")
        self._check_grid()

    def _check_grid(self) -> None:
        if not 1 <= self.repeats <= _MOST_REPEATS:
            raise BadPlan(f"{self.id}: 1 to {_MOST_REPEATS} repeats, not {self.repeats}")
        if self.is_grid and self.kind not in {"length", "depth", "angle", "torque", "pressure"}:
            raise BadPlan(f"{self.id}: a {self.kind} has no positions, axes or repeats")
        if self.take != "mean" and not self.is_grid:
            raise BadPlan(f"{self.id}: 'take' needs positions, axes or repeats")
        if self.take == "out-of-round" and len(self.axes) < 2:  # noqa: PLR2004 - two axes at least
            raise BadPlan(f"{self.id}: out-of-round needs two axes or more")
        if self.take == "taper" and len(self.positions) < 2:  # noqa: PLR2004 - two ends at least
            raise BadPlan(f"{self.id}: taper needs two positions or more")
        for words in (self.positions, self.axes):
            check_unique("position or axis", list(words), where=f" of {self.id}")
            for word in words:
                check_id(word)

    @property
    def is_grid(self) -> bool:
        """Whether more than one reading makes its value."""
        return bool(self.positions or self.axes or self.repeats > 1)

    @property
    def is_told_as_depth(self) -> bool:
        """Whether its value is a depth, BELOW or PROUD, and not how far several are apart."""
        return self.kind == "depth" and self.take not in {"range", "out-of-round", "taper"}

    @property
    def spots(self) -> "tuple[Spot, ...]":
        """Every reading that is asked for, in the order they are read; one if it is no grid."""
        return _spots(self.positions, self.axes, self.repeats)

    @property
    def is_worked_out(self) -> bool:
        """Whether its value comes from other checks and is never typed."""
        return self.kind in {"computed", "agreement"}


class Spot(Struct, frozen=True, omit_defaults=True, order=True):
    """Where in a grid one reading belongs; the empty spot of a check without a grid."""

    position: str = ""
    axis: str = ""
    repeat: int = 1

    @property
    def words(self) -> str:
        """The spot for a person: "top, across, 2nd time", empty for the only one."""
        again = f"no. {self.repeat}" if self.repeat > 1 else ""
        return ", ".join(word for word in (self.position, self.axis, again) if word)


@lru_cache(maxsize=256)
def _spots(positions: tuple[str, ...], axes: tuple[str, ...], repeats: int) -> tuple[Spot, ...]:
    return tuple(
        Spot(position, axis, repeat)
        for repeat in range(1, repeats + 1)
        for position in positions or ("",)
        for axis in axes or ("",)
    )
