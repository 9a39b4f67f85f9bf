"""Check -> the numbers that its limit line is drawn from, all in one unit."""

from annotate.quantity import Quantity
from capture.desk.limit.facts import Facts, Wall
from capture.printed import OTHER_UNIT
from capture.unit_words import SIZES
from capture.words.quantities import is_told_as_depth, printed, quantity_text
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Limit
from store.judge import limit_for, other_limit
from store.plan import Location
from store.report.figures import Saying, saying
from store.round import Check, Round

RATIOS = {"covered", "covered of near", "covered of far"}
_EN_DECIMALS = 2
_NO_WORDS = {"1", "count"}


def facts_of(check: Check, known: Round | None = None) -> Facts | None:
    """Return what is drawn of a check, None where there is nothing to draw.

    That is for answers in words, for what this block never had, while readings are missing, and
    where there is neither a limit nor a value.
    """
    characteristic = check.characteristic
    if characteristic.kind in ANSWERED_IN_WORDS or check.excused or check.missing:
        return None
    limit = limit_for(characteristic)
    value = check.value if check.state != "not measured" else None
    if limit is None and value is None:
        return None
    shown = _in_unit(value, _unit(characteristic, limit, value))
    say = _saying(characteristic, limit, shown)
    walls = _walls(check, say)
    ends = _ends(characteristic, limit, say.unit)
    heads = _heads(characteristic, limit, say)
    if shown is None:
        return Facts(say, walls=walls, ends=ends, heads=heads)
    verdict = check.verdict
    low, high = (verdict.bound_low, verdict.bound_high) if verdict else (None, None)
    return Facts(
        say=say,
        state=check.state,
        value=shown.value,
        interval=shown.interval() if shown.u > 0 or shown.quantiles else None,
        low=_scaled(low, limit.at_least if limit else None, say.unit),
        high=_scaled(high, limit.at_most if limit else None, say.unit),
        walls=walls,
        ends=ends,
        simple=limit is not None and limit.rule == "simple",
        said=_said(characteristic, limit, shown, say),
        aside=_aside(characteristic, shown, known, depth=say.depth),
        heads=heads,
    )


def covered_of(limit: Limit | None, location: Location) -> str:
    """Return of which hole a coverage is a share."""
    of = limit.of if limit else "covered"
    named = {
        "covered of near": f"of the {location.near}",
        "covered of far": f"of the {location.far}",
    }
    return named.get(of, "of the smaller hole")


def _unit(characteristic: Characteristic, limit: Limit | None, value: Quantity | None) -> str:
    side = (limit.at_most or limit.at_least) if limit else None
    unit = side.unit if side else value.unit if value else characteristic.unit
    return "%" if unit == "1" and characteristic.kind == "coverage" else unit


def _in_unit(value: Quantity | None, unit: str) -> Quantity | None:
    if value is None or value.unit == unit:
        return value
    # Not Quantity.to: these factors are exact, and no table of units need be loaded for them.
    factor = _factor(value.unit, unit)
    if factor is None:
        return None
    return Quantity(
        value.value * factor,
        unit,
        value.u * factor,
        value.dof,
        tuple(each * factor for each in value.quantiles),
    )


def _scaled(bound: float | None, side: Quantity | None, unit: str) -> float | None:
    factor = _factor(side.unit, unit) if side else None
    return None if bound is None or factor is None else bound * factor


def _factor(from_unit: str, to_unit: str) -> float | None:
    if from_unit == to_unit:
        return 1.0
    if from_unit not in SIZES or to_unit not in SIZES:
        return None
    (kind, size), (other_kind, other_size) = SIZES[from_unit], SIZES[to_unit]
    return float(size / other_size) if kind == other_kind else None


def _saying(characteristic: Characteristic, limit: Limit | None, value: Quantity | None) -> Saying:
    depth = is_told_as_depth(characteristic)
    if characteristic.kind == "agreement":
        return Saying("1", _EN_DECIMALS)
    if value is not None:
        return saying(value, depth=depth)
    return Saying(_unit(characteristic, limit, None), 0, depth)


def _walls(check: Check, say: Saying) -> tuple[Wall, ...]:
    characteristic = check.characteristic
    found: list[Wall] = []
    for limit, decides in (
        (limit_for(characteristic), True),
        (other_limit(characteristic), False),
    ):
        if limit is None:
            continue
        name = "" if decides else _name(characteristic, limit)
        for side, least in ((limit.at_least, True), (limit.at_most, False)):
            factor = _factor(side.unit, say.unit) if side else None
            if side is not None and factor is not None:
                value = side.value * factor
                found.append(
                    Wall(value, least, name, _words(check, limit, value, least, name, say))
                )
    return tuple(found)


def _name(characteristic: Characteristic, limit: Limit) -> str:
    return "wear limit" if limit is characteristic.wear_limit else "new limit"


def _words(
    check: Check, limit: Limit, value: float, least: bool, name: str, say: Saying
) -> tuple[str, ...]:
    side = "at least" if least else "at most"
    figure = say.stated(value)
    if name:
        return (
            f"{name}: {side} {figure}",
            f"{name} {figure}",
            f"{name.split(maxsplit=1)[0]} {figure}",
        )
    short = f"limit: {side} {figure}"
    if check.characteristic.kind == "agreement":
        return (f"limit: En {side} {figure}", short, figure)
    if check.characteristic.kind == "coverage" and limit.of in RATIOS:
        return (f"{short} covered, {covered_of(limit, check.location)}", short, f"{side} {figure}")
    return (short, f"{side} {figure}", figure)


def _ends(
    characteristic: Characteristic, limit: Limit | None, unit: str
) -> tuple[float, float] | None:
    whole = characteristic.kind == "coverage" and (limit is None or limit.of in RATIOS)
    return (0.0, 100.0) if whole and unit == "%" else None


def _heads(characteristic: Characteristic, limit: Limit | None, say: Saying) -> tuple[str, str]:
    if _ends(characteristic, limit, say.unit):
        return "covered", "open"
    if characteristic.kind == "agreement":
        return "En", ""
    unit = "" if say.unit in _NO_WORDS else say.unit_said().removesuffix(" BELOW")
    return unit, "BELOW" if say.depth else ""


def _said(characteristic: Characteristic, limit: Limit | None, value: Quantity, say: Saying) -> str:
    figure = say.value(value.value)
    if characteristic.kind == "agreement":
        return f"En {figure}"
    if characteristic.kind == "coverage":
        of = limit.of if limit else "covered"
        return f"{figure} {'covered' if of in RATIOS else 'pin' if of == 'pin' else 'open'}"
    return figure


def _aside(
    characteristic: Characteristic, value: Quantity, known: Round | None, *, depth: bool
) -> str:
    job = "" if known is None else ("in" if known.job.units == "US" else "mm")
    unit = value.unit
    # The job's own unit where the limit is in the other one.
    other = job if job and job != unit and unit in {"mm", "in"} else OTHER_UNIT.get(unit, "")
    there = _in_unit(value, other) if other else None
    said = printed(quantity_text(there, depth=depth)) if there is not None else ""
    many = len(characteristic.spots)
    taken = f"{characteristic.take} of {many}" if characteristic.is_grid else ""
    return ", ".join(filter(None, (said, taken)))
