"""One check of a plan -> the empty boxes that its readings are written in by hand."""

from typing import Any

from store.characteristic import Characteristic, Spot
from store.plan import Plan
from store.report.figures import unit_word

# How many boxes stand side by side: each is wide enough for a reading by hand.
_ACROSS, _ACROSS_WITH_WORDS = 6, 4


def boxes(plan: Plan, check: Characteristic) -> dict[str, Any]:
    """Return what stands behind a check's question, as plain JSON.

    ``ticks`` are squares with their words, ``lines`` are ruled, ``blocks`` are tables of boxes in
    the order in which they are read, each with the word of its unit, under ``heads`` and beside
    ``sides``; ``circle`` are words below each box, one of which is circled.
    """
    if check.kind == "coverage":
        return _made(ticks=["photo taken, square-on and close"], lines=["camera number"])
    if check.kind == "yes-no":
        return _made(ticks=["yes", "no"])
    if check.kind == "note":
        return _made(lines=[""])
    if check.kind == "pin":
        heads = ["largest that passed", "smallest that stopped"]
        return _made(blocks=[_block(heads, [""], check)])
    circle = _circled(plan, check)
    return _made(
        blocks=_blocks(check, _ACROSS_WITH_WORDS if circle else _ACROSS),
        circle=circle,
        lines=["zeroed on"] if _is_difference(plan, check) else [],
    )


def _made(**parts: Any) -> dict[str, Any]:  # noqa: ANN401 - JSON is any of its forms
    return {"ticks": [], "lines": [], "blocks": [], "circle": [], **parts}


def _circled(plan: Plan, check: Characteristic) -> list[str]:
    if check.kind == "depth":
        return ["BELOW", "FLUSH", "PROUD"]
    return ["bigger", "smaller"] if _is_difference(plan, check) else []


def _is_difference(plan: Plan, check: Characteristic) -> bool:
    return bool(check.gauge) and plan.gauge(check.gauge).difference


def _blocks(check: Characteristic, across: int) -> list[dict[str, Any]]:
    """Return the boxes of a grid, row by row as they are read.

    The axes stand side by side, or the positions where there are no axes. Where they are more
    than fit, each box is told by its own words.
    """
    columns = check.axes or check.positions or ("",)
    if len(columns) > across:
        return _told_singly(check, across)
    rows = len(check.spots) // len(columns)
    first_of_rows = [check.spots[row * len(columns)] for row in range(rows)]
    sides = [_side(check, spot) for spot in first_of_rows]
    heads = list(columns) if columns != ("",) else []
    return [_block(heads, sides, check)]


def _side(check: Characteristic, spot: Spot) -> str:
    position = spot.position if check.axes else ""
    again = f"no. {spot.repeat}" if check.repeats > 1 else ""
    return ", ".join(word for word in (position, again) if word)


def _told_singly(check: Characteristic, across: int) -> list[dict[str, Any]]:
    spots = [spot.words for spot in check.spots]
    return [
        _block(spots[start : start + across], [""], check) for start in range(0, len(spots), across)
    ]


def _block(heads: list[str], sides: list[str], check: Characteristic) -> dict[str, Any]:
    return {
        "heads": heads,
        "sides": sides,
        "columns": max(1, len(heads)),
        "unit": "pieces" if check.kind == "count" else unit_word(check.unit),
    }
