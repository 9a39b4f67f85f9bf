"""What must be shown on one job: frozen records, read from a plan file and kept in the ledger.

Measured values are Quantity; a depth is positive BELOW its datum and printed with the word.
A member at its default is not written, so that a later version can add one without changing what
an old line looks like.
"""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.errors import BadPlan

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
Role = Literal[
    "overall", "which hole", "bare bore", "part on the gauge", "fitted", "with scale",
    "what closes it", "close-up",
]  # fmt: skip
Shape = Literal["round", "slot", "groove"]

TYPED = ("length", "depth", "angle", "torque", "pressure", "time", "count", "pin", "yes-no", "note")
ANSWERED_IN_WORDS = ("yes-no", "note")

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
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
            _check_unique("position or axis", list(words), where=f" of {self.id}")
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


class Location(Struct, frozen=True, omit_defaults=True):
    """A place on the block. ``near`` and ``far`` are what the shop calls the two holes.

    ``plug``: a plug belongs here, to be counted out and in. ``gallery``: a passage that must be
    logged clean before it is closed. ``group`` gathers those that are easily mixed up.
    """

    id: str
    name: str
    characteristics: tuple[Characteristic, ...] = ()
    near: str = "bearing hole"
    far: str = "block hole"
    plug: bool = False
    gallery: bool = False
    group: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class HoldPoint(Struct, frozen=True, omit_defaults=True):
    """A mandatory stop before ``name`` goes on and hides what ``hides`` names.

    That are locations, and other hold points with all that they hide (which must be closed
    first). Each location hidden must have a photo of each role in ``roles``; ``debris`` asks for
    a debris log of each gallery hidden, ``seal`` for a photo of what closes it, at the hold
    point itself, once it is on.
    """

    id: str
    name: str
    hides: tuple[str, ...]
    roles: tuple[Role, ...] = ()
    debris: bool = False
    seal: bool = False
    caution: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class Gauge(Struct, frozen=True, omit_defaults=True):
    """A measuring tool, as its register says.

    ``permissible_error`` is the largest error its maker or its last check allows; it is one error
    for all its readings. ``repeatability`` is the standard deviation of single readings found in
    ``repeats`` of them, None if it was never tried. ``difference``: it reads how much bigger or
    smaller than what it was zeroed to. Dates are ISO 8601; ``due`` is the day from which the last
    check no longer counts. ``expansion`` is that of its scale, per kelvin.
    """

    id: str
    kind: str
    resolution: Quantity
    permissible_error: Quantity
    repeatability: Quantity | None = None
    repeats: int = 0
    last_check: str = ""
    due: str = ""
    set_on: str = ""
    difference: bool = False
    expansion: float = 11.5e-6  # gauge steel, GUM H.1
    marked: str = ""  # the number engraved on it

    def __post_init__(self) -> None:
        check_id(self.id)
        if self.resolution.value <= 0 or self.permissible_error.value < 0:
            raise BadPlan(f"gauge {self.id}: a resolution above 0 and an error of 0 or more")
        self.permissible_error.to(self.resolution.unit)
        if self.repeatability is not None:
            self.repeatability.to(self.resolution.unit)
            if self.repeats < 2:  # noqa: PLR2004 - one reading has no spread
                raise BadPlan(f"gauge {self.id}: in how many repeats was repeatability found?")


class KitLine(Struct, frozen=True, omit_defaults=True):
    """One line of the kit list: how many of what, as the packing says."""

    id: str
    name: str
    count: int
    size: Quantity | None = None

    def __post_init__(self) -> None:
        check_id(self.id)
        if self.count < 0:
            raise BadPlan(f"kit line {self.id}: {self.count} pieces")


class Part(Struct, frozen=True, omit_defaults=True):
    """A part that goes on or in. ``location`` is where, ``kit`` the kit line it comes from."""

    id: str
    name: str
    location: str = ""
    kit: str = ""

    def __post_init__(self) -> None:
        check_id(self.id)


class Job(Struct, frozen=True, omit_defaults=True):
    """One engine for one customer."""

    number: str
    engine: str
    customer: str
    shop: str
    engine_number: str = ""
    units: Literal["metric", "US"] = "metric"
    decimal_comma: bool = False
    instructions: tuple[str, ...] = ()
    declined: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()  # usual for this kind of job, and never asked for
    cautions: tuple[str, ...] = ()


class Plan(Struct, frozen=True, omit_defaults=True):
    """The job, its locations in walking order, its hold points in closing order, its gauges."""

    job: Job
    locations: tuple[Location, ...]
    hold_points: tuple[HoldPoint, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    parts: tuple[Part, ...] = ()
    kit: tuple[KitLine, ...] = ()

    def __post_init__(self) -> None:
        ids = [location.id for location in self.locations]
        holds = [hold.id for hold in self.hold_points]
        _check_unique("location or hold point", ids + holds)
        _check_unique("gauge", [gauge.id for gauge in self.gauges])
        _check_unique("part", [part.id for part in self.parts])
        _check_unique("kit line", [line.id for line in self.kit])
        for location in self.locations:
            own = [c.id for c in location.characteristics]
            _check_unique("check", own, where=f" of {location.id}")
        self._check_checks()
        self._check_parts()
        for hold in self.hold_points:
            for hidden in hold.hides:
                if hidden not in ids and hidden not in holds:
                    raise BadPlan(f"hold point {hold.id}: hides {hidden!r}, not a location here")
            if hold.id in self._below(hold.id):
                raise BadPlan(f"hold point {hold.id} would hide itself")

    def _check_checks(self) -> None:
        gauges = {gauge.id for gauge in self.gauges}
        parts = {part.id for part in self.parts}
        keys = {key for key, _, _ in self.walk()}
        for key, _, check in self.walk():
            for route in check.of or ():
                if key_of(route) not in keys or key_of(route) == key:
                    raise BadPlan(f"{key}: 'of' names {route!r}, which is not another check here")
            if check.gauge and check.gauge not in gauges:
                raise BadPlan(f"{key}: gauge {check.gauge!r} is not in the gauge list")
            if check.part and check.part not in parts:
                raise BadPlan(f"{key}: part {check.part!r} is not in the parts list")

    def _check_parts(self) -> None:
        locations = {location.id for location in self.locations}
        lines = {line.id for line in self.kit}
        for part in self.parts:
            if part.location and part.location not in locations:
                raise BadPlan(f"part {part.id}: {part.location!r} is not a location here")
            if part.kit and part.kit not in lines:
                raise BadPlan(f"part {part.id}: {part.kit!r} is not in the kit list")

    def walk(self) -> list[tuple[str, Location, Characteristic]]:
        """Return every check in walking order with its key "LOCATION.ID"."""
        return [
            (f"{location.id}.{check.id}", location, check)
            for location in self.locations
            for check in location.characteristics
        ]

    def hidden_by(self, hold_id: str) -> tuple[str, ...]:
        """Return the ids of the locations that a hold point hides, by way of others too."""
        found = self._below(hold_id)
        return tuple(location.id for location in self.locations if location.id in found)

    def closed_before(self, hold_id: str) -> tuple[str, ...]:
        """Return the ids of the hold points that a hold point hides, by way of others too."""
        found = self._below(hold_id)
        return tuple(hold.id for hold in self.hold_points if hold.id in found)

    def _below(self, hold_id: str) -> set[str]:
        """Return the ids of all that a hold point hides, its own among them if it goes round."""
        hides = {hold.id: hold.hides for hold in self.hold_points}
        seen: set[str] = set()
        waiting = [hold_id]
        while waiting:
            new = [hidden for hidden in hides.get(waiting.pop(), ()) if hidden not in seen]
            seen.update(new)
            waiting += new
        return seen

    def location(self, location_id: str) -> Location:
        """Return a location by its id; raises BadPlan naming those there are."""
        for location in self.locations:
            if location.id == location_id:
                return location
        raise BadPlan(_no("location", location_id, (each.id for each in self.locations)))

    def characteristic(self, key: str) -> tuple[Location, Characteristic]:
        """Return a check by its key "LOCATION.ID"; raises BadPlan."""
        location_id, _, check_id_ = key.partition(".")
        for location in self.locations:
            if location.id == location_id:
                for check in location.characteristics:
                    if check.id == check_id_:
                        return location, check
        raise BadPlan(_no("check", key, (other for other, _, _ in self.walk())))

    def hold_point(self, hold_id: str) -> HoldPoint:
        """Return a hold point by its id; raises BadPlan naming those there are."""
        for hold in self.hold_points:
            if hold.id == hold_id:
                return hold
        raise BadPlan(_no("hold point", hold_id, (each.id for each in self.hold_points)))

    def gauge(self, gauge_id: str) -> Gauge:
        """Return a gauge by its id; raises BadPlan naming those there are."""
        for gauge in self.gauges:
            if gauge.id == gauge_id:
                return gauge
        raise BadPlan(_no("gauge", gauge_id, (each.id for each in self.gauges)))

    def part(self, part_id: str) -> Part:
        """Return a part by its id; raises BadPlan naming those there are."""
        for part in self.parts:
            if part.id == part_id:
                return part
        raise BadPlan(_no("part", part_id, (each.id for each in self.parts)))


@lru_cache(maxsize=256)
def _spots(positions: tuple[str, ...], axes: tuple[str, ...], repeats: int) -> tuple[Spot, ...]:
    return tuple(
        Spot(position, axis, repeat)
        for repeat in range(1, repeats + 1)
        for position in positions or ("",)
        for axis in axes or ("",)
    )


def key_of(route: str) -> str:
    """Return the check "LOCATION.ID" that a route "LOCATION.ID.pin" leads to."""
    return ".".join(route.split(".")[:2])


def check_id(text: str) -> None:
    """Refuse with BadPlan what can't be an id."""
    if not _ID.fullmatch(text):
        raise BadPlan(f"{text!r} is not an id: letters, figures, - and _, at most 32")


def _no(what: str, wanted: str, there: Iterable[str]) -> str:
    return f"no {what} {wanted!r} in this job; there are {', '.join(there) or 'none'}"


def _check_unique(what: str, ids: list[str], where: str = "") -> None:
    if len(set(ids)) != len(ids):
        twice = next(i for i in ids if ids.count(i) > 1)
        raise BadPlan(f"{what} {twice!r}{where} is there twice")
