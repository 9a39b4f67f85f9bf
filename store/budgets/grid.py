"""Many readings of one thing -> one number: mean, largest, range, out-of-round, taper.

Repeats at one location of the grid become their mean first. What spreads them is then known from
themselves: s / sqrt(n), Student's t (JCGM 100:2008 (GUM) 4.2.3), in the stead of the gauge's own
repeatability. The spread is pooled over all the spots of the check, and with what the gauge was
found to repeat to where that is registered (GUM 4.2.4, from memory: one gauge, one hand, one kind
of surface); the gauge's is left out where the readings spread more than three times as much
(common practice, no source), for then something else spreads them. Rounding, a typed +- and
doubts are not averaged by repeating at one spot: they may be the same every time.

Out-of-round is the largest, over the positions, of the spread between the axes at one position;
taper the largest, over the axes, of the spread between the positions along one axis.
"""

from collections.abc import Callable, Mapping, Sequence
from math import fsum, sqrt
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from store.budgets import spread
from store.budgets.budget import Budget, Source, combined
from store.budgets.outcome import Worked, worked
from store.budgets.spread import Leaf, Value
from store.budgets.worth import REPEATABILITY, own_label
from store.characteristic import Spot, Take
from store.errors import CannotDerive

_ANOTHER_SPREAD = 3.0


class Grid(Struct, frozen=True):
    """The readings of one check that count, by spot: (entry, budget). ``take`` is its number.

    What is no grid is one of a single spot: see ``single``.
    """

    spots: dict[Spot, tuple[str, Budget]]
    take: Take = "mean"

    def __post_init__(self) -> None:
        if not self.spots:
            raise CannotDerive("nothing was read yet")

    @property
    def unit(self) -> str:
        """The unit of its first reading."""
        return next(iter(self.spots.values()))[1].unit

    @property
    def entries(self) -> tuple[str, ...]:
        """The entries of all readings in it, in their order."""
        return tuple(dict.fromkeys(entry for entry, _ in self.spots.values()))

    def at(self, words: Sequence[str]) -> "Grid":
        """Return the part of it at these positions and axes; raises CannotDerive if there is none.

        Each of the words must be the position or the axis.
        """
        chosen = {
            spot: there
            for spot, there in self.spots.items()
            if all(word in {spot.position, spot.axis} for word in words)
        }
        if not chosen:
            raise CannotDerive(f"nothing was read at {', '.join(words)}")
        return Grid(chosen, self.take)


def single(entry: str, budget: Budget) -> Grid:
    """Return one reading, one coverage or one worked-out value as a grid of one."""
    return Grid({Spot(): (entry, budget)})


def taken(grid: Grid, unit: str, take: Take | None = None) -> Worked:
    """Return the number that a grid comes to, in ``unit``: its own ``take`` unless given.

    ``decisive`` are the entries that made it, empty for a mean. Raises CannotDerive where
    readings are missing for it, and UnitMismatch.
    """

    def expression(leaf: Leaf) -> Value:
        return take_of(grid, take or grid.take, lambda b, e: leaf(b.to(unit), e))

    return worked(expression, unit, grid.entries)


def take_of(grid: Grid, take: Take, leaf: Leaf) -> Value:
    """Return the number taken of a grid, as a value that carries its errors along."""
    if take in _OF_READINGS:
        return _OF_READINGS[take](readings(grid, leaf))
    return _OF_CELLS[take](cells(grid, leaf))


def readings(grid: Grid, leaf: Leaf) -> list[Value]:
    """Return what the largest, the smallest and the range are taken of.

    The mean at each spot; where there is but one spot, its repeats.
    """
    if len({(spot.position, spot.axis) for spot in grid.spots}) == 1:
        return [leaf(budget, (entry,)) for entry, budget in grid.spots.values()]
    return [cell.value for cell in cells(grid, leaf)]


class Cell(NamedTuple):
    """The mean of the repeats at one position and axis."""

    position: str
    axis: str
    value: Value


def cells(grid: Grid, leaf: Leaf) -> list[Cell]:
    """Return the grid with its repeats made into their means."""
    places: dict[tuple[str, str], list[tuple[str, Budget]]] = {}
    for spot, there in grid.spots.items():
        places.setdefault((spot.position, spot.axis), []).append(there)
    spread_of = _pooled(list(places.values()), grid.entries[0])
    return [
        Cell(*place, leaf(_mean_of_repeats(repeats, spread_of), tuple(e for e, _ in repeats)))
        for place, repeats in places.items()
    ]


class _Spread(NamedTuple):
    """Standard deviation of single readings, its degrees of freedom, what it is known from."""

    s: float
    dof: float
    family: str


def _pooled(places: list[list[tuple[str, Budget]]], first: str) -> _Spread | None:
    """Return how single readings spread, None if nothing was read twice."""
    unit = places[0][0][1].unit
    rows = [[budget.to(unit).value for _, budget in repeats] for repeats in places]
    dof = float(sum(len(row) - 1 for row in rows))
    if dof == 0:
        return None
    squares = fsum((x - fsum(row) / len(row)) ** 2 for row in rows for x in row)
    known = _repeatability(places, unit)
    if known and known.dof and squares / dof <= (_ANOTHER_SPREAD * known.u) ** 2:
        squares, dof = squares + known.dof * known.u**2, dof + known.dof
    return _Spread(sqrt(squares / dof), dof, own_label("repeats", first))


def _repeatability(places: list[list[tuple[str, Budget]]], unit: str) -> Source | None:
    """Return what the gauge is known to repeat to, where one gauge with such a figure was used."""
    found = [
        [source for source in budget.to(unit).sources if _repeats_itself(source, entry)]
        for repeats in places
        for entry, budget in repeats
    ]
    families = {source.family for sources in found for source in sources}
    return found[0][0] if len(families) == 1 and all(found) else None


def _mean_of_repeats(repeats: list[tuple[str, Budget]], spread_of: _Spread | None) -> Budget:
    """Return the mean at one spot; as it is where nothing was read twice."""
    if spread_of is None:
        return repeats[0][1]
    unit, count = repeats[0][1].unit, len(repeats)
    first = repeats[0][0]
    terms = [(_as_first(b.to(unit), entry, first), 1 / count) for entry, b in repeats]
    value = fsum(budget.value for budget, _ in terms) / count
    mean = combined(value, unit, terms)
    if spread_of.s == 0:
        return mean
    entries = " ".join(entry for entry, _ in repeats)
    source = Source(
        own_label("mean of repeats", entries), "spread of the repeats",
        spread_of.s / sqrt(count), "t", dof=spread_of.dof, family=spread_of.family,
    )  # fmt: skip
    return Budget(mean.value, unit, (*mean.sources, source))


def _as_first(budget: Budget, entry: str, first: str) -> Budget:
    """Return a repeat's budget without the gauge's repeatability, its own errors the first's."""
    ending = own_label("", entry)
    sources = [
        replace(source, label=own_label(source.label.removesuffix(ending), first))
        if source.label.endswith(ending)
        else source
        for source in budget.sources
        if not _repeats_itself(source, entry)
    ]
    return Budget(budget.value, budget.unit, tuple(sources))


def _repeats_itself(source: Source, entry: str) -> bool:
    """Return whether an error is the gauge's repeatability in this reading (not in its zero)."""
    ours = source.label.endswith(own_label("", entry))
    return ours and source.label.startswith(REPEATABILITY)


def _out_of_round(there: list[Cell]) -> Value:
    return _worst_spread(there, lambda cell: cell.position, "axes", "position")


def _taper(there: list[Cell]) -> Value:
    return _worst_spread(there, lambda cell: cell.axis, "positions", "axis")


def _worst_spread(
    there: list[Cell], group_of: Callable[[Cell], str], across: str, group: str
) -> Value:
    """Return the largest of the ranges within groups of cells."""
    groups: dict[str, list[Value]] = {}
    for cell in there:
        groups.setdefault(group_of(cell), []).append(cell.value)
    for name, values in groups.items():
        if len(values) < 2 or len(values) < max(map(len, groups.values())):  # noqa: PLR2004 - a range
            where = f" at {group} {name}" if name else ""
            raise CannotDerive(f"readings along two {across} or more are needed{where}")
    return spread.largest([spread.range_of(values) for values in groups.values()])


_OF_READINGS: Mapping[Take, Callable[[list[Value]], Value]] = {
    "largest": spread.largest,
    "smallest": spread.smallest,
    "range": spread.range_of,
}
_OF_CELLS: Mapping[Take, Callable[[list[Cell]], Value]] = {
    "mean": lambda there: spread.mean([cell.value for cell in there]),
    "out-of-round": _out_of_round,
    "taper": _taper,
}
