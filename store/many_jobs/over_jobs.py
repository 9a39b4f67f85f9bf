"""One check over many jobs: rows of the shop's index -> a plot of their values, a line for each."""

from math import ceil

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity, conversion_factor
from store.errors import BadAct
from store.many_jobs.dots import Lane, Sheet, drawn
from store.report.figures import saying, unit_word
from store.ways_out.listing import Row

# How many letters there is room for; those of a name are set bold, and a quarter wider.
_LONGEST_NAME, _LONGEST_LABELS, _BOLD = 24, 46, 1.25
_DAY = 10  # of an ISO 8601 time
_ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"


def plot(rows: list[Row]) -> str:
    """Return an SVG of check rows (``Shop.checks``) in their order; those with no value are told.

    Raises BadAct where none has a value, or where their units are of different kinds.
    """
    valued = [row for row in rows if row["value"] is not None]
    if not valued:
        raise BadAct("none of the checks found has a value to plot: look for others.")
    unit = _unit_of(valued)
    one_key = len({row["key"] for row in valued}) == 1
    lanes = [_lane(row, unit, with_key=not one_key) for row in valued]
    return drawn(lanes, _sheet(valued, unit, len(rows) - len(valued)))


def _unit_of(rows: list[Row]) -> str:
    """Return the unit of the plot: that of the first value, per cent for what is covered."""
    unit = str(rows[0]["unit"])
    for row in rows:
        try:
            conversion_factor(str(row["unit"]), unit)
        except UnitMismatch as error:
            raise BadAct(
                f"{rows[0]['key']} is in {unit} and {row['key']} in {row['unit']}, which no scale "
                "shows together: ask for one check, as B1.covered."
            ) from error
    return "%" if unit == "1" and all(row["kind"] == "coverage" for row in rows) else unit


def _lane(row: Row, unit: str, *, with_key: bool) -> Lane:
    factor = conversion_factor(str(row["unit"]), unit)
    value, low, high, u = (factor * _number(row, name) for name in ("value", "low", "high", "u"))
    least, most = (
        None if row[name] is None else factor * _number(row, name)
        for name in ("at_least", "at_most")
    )
    said = saying(Quantity(value, unit, u), depth=bool(row["side"])).value(value)
    if row["kind"] == "agreement":  # an En number has no uncertainty to be rounded by
        said = f"{value:.2f}"
    name = _cut(f"{row['job']} {row['key']}" if with_key else str(row["job"]), _LONGEST_NAME)
    day = str(row["at"])[:_DAY]
    room = _LONGEST_LABELS - ceil(_BOLD * len(name)) - _DAY
    beside = f"{_cut(str(row['engine']), room)}, {day}"
    return Lane(
        name, beside, said, str(row["state"]), value, low, high, least, most
    )  # fmt: skip


def _sheet(rows: list[Row], unit: str, without: int) -> Sheet:
    keys = list(dict.fromkeys(str(row["key"]) for row in rows))
    asked = list(dict.fromkeys(str(row["check"]) for row in rows))
    jobs = len({row["path"] for row in rows})
    title = f"{_cut(', '.join(keys), 60)}: {_cut(asked[0], 60)}"
    many = "" if len(asked) == 1 else f" and {len(asked) - 1} more"
    under = (
        f"{len(rows)} value{'s' * (len(rows) != 1)} of {jobs} job{'s' * (jobs != 1)}, each with "
        "the interval that holds the true value 95 times in 100"
    )
    under += f"; {without} without a value" if without else ""
    axis = "En" if all(row["kind"] == "agreement" for row in rows) else unit_word(unit)
    if any(row["side"] for row in rows):
        axis = f"{axis} BELOW; PROUD is left of 0"
    return Sheet(f"{title}{many}", under, axis)


def _number(row: Row, name: str) -> float:
    found = row[name]
    return float(found) if isinstance(found, int | float) else 0.0


def _cut(text: str, longest: int) -> str:
    text = " ".join(text.split())
    return text if len(text) <= longest else text[: longest - 1].rstrip() + _ELLIPSIS
