"""Measured records -> the JSON that programs read. The keys are a contract."""

from typing import Any

from msgspec import to_builtins

from annotate.beside import Repeats
from annotate.marks import Ellipse
from annotate.quantity import LEVEL, Quantity
from annotate.result import BudgetLine, Coverage, Known, Parallax, Result, Unknown
from store.verdict import Verdict

_RESULTS = (
    "covered", "open", "covered_of_near", "covered_of_far", "open_area", "equivalent_diameter",
    "offset", "offset_clock", "largest_pin", "line_of_sight",
)  # fmt: skip


def quantity_answer(quantity: Quantity) -> dict[str, Any]:
    """Return {value, unit, u, low, high, level}."""
    low, high = quantity.interval(LEVEL)
    return {
        "value": quantity.value,
        "unit": quantity.unit,
        "u": quantity.u,
        "low": low,
        "high": high,
        "level": LEVEL,
    }


def result_answer(result: Result) -> dict[str, Any]:
    """Return the quantity, or {"value": null, "reason"}."""
    if isinstance(result, Known):
        return quantity_answer(result.quantity)
    return {"value": None, "reason": result.reason}


def outline_answer(ellipse: Ellipse | None) -> dict[str, float] | None:
    """Return an outline in pixels of the upright picture."""
    if ellipse is None:
        return None
    return {
        "cx": ellipse.cx,
        "cy": ellipse.cy,
        "semi_major": ellipse.semi_major,
        "semi_minor": ellipse.semi_minor,
        "angle_deg": ellipse.angle_deg,
    }


def behind_answer(behind: Quantity | None, height: Quantity | None) -> dict[str, Any]:
    """Return how far behind a face's target its edges lie, and what that makes of lengths there.

    ``typed`` in mm, null where it was not; ``camera_height`` over the target's plane in mm. In per
    cent, below 0 for larger: by how much lengths are seen smaller for it (``seen_smaller_percent``,
    put right in the answer), and by how much for each millimetre (``percent_per_mm``). Null where
    nothing was measured.
    """
    from annotate.flat_face.behind import smaller_percent  # noqa: PLC0415 - loads numpy

    smaller = each = None
    if height is not None:
        smaller = smaller_percent(behind.value if behind else 0.0, height.value)
        each = smaller_percent(1.0, height.value)
    return {
        "typed": None if behind is None else quantity_answer(behind),
        "camera_height": None if height is None else quantity_answer(height),
        "seen_smaller_percent": smaller,
        "percent_per_mm": each,
    }


def coverage_answer(
    result: Coverage, verdict: Verdict | None, limit: str, warnings: tuple[str, ...]
) -> dict[str, Any]:
    """Return everything that was measured on one photo."""
    return {
        **{name: result_answer(getattr(result, name)) for name in _RESULTS},
        "parallax": _parallax(result.parallax),
        "near": outline_answer(result.near),
        "far": outline_answer(result.far),
        "verdict": _verdict(verdict, limit),
        "budget": [budget_line(line) for line in result.budget],
        "warnings": [*warnings, *result.warnings],
    }


def trials_answer(trials: int, reached: float, tolerance: float) -> dict[str, Any]:
    """Return how many trials were made, and to how many points the interval stands still by then.

    With the points that were asked for, and whether they were reached.
    """
    return {
        "trials": {
            "made": trials,
            "still_to_points": 100 * reached,
            "asked_points": 100 * tolerance,
            "asked_reached": reached <= tolerance,
        }
    }


def no_coverage_answer(
    reason: str, verdict: Verdict | None, limit: str, warnings: tuple[str, ...]
) -> dict[str, Any]:
    """Return the same keys where nothing could be measured, each with the reason."""
    nothing = Unknown(reason)
    return {
        **{name: result_answer(nothing) for name in _RESULTS},
        "parallax": _parallax(Parallax(nothing, nothing, nothing)),
        "near": None,
        "far": None,
        "verdict": _verdict(verdict, limit),
        "budget": [],
        "warnings": [*warnings],
        "trials": None,
    }


def repeats_answer(repeats: Repeats | None) -> dict[str, Any]:
    """Return what marking photos again showed, as multiples of what was taken; {} for nothing."""
    return {} if repeats is None else {"marking": to_builtins(repeats)}


def budget_line(line: BudgetLine) -> dict[str, Any]:
    """Return one source of doubt, in points, with its degrees of freedom where it has any."""
    told: dict[str, Any] = {"source": line.source, "points": line.points}
    return told if line.dof is None else {**told, "degrees_of_freedom": line.dof}


def _parallax(parallax: Parallax) -> dict[str, Any]:
    return {
        "dx": result_answer(parallax.dx),
        "dy": result_answer(parallax.dy),
        "angle_deg": result_answer(parallax.angle),
    }


def _verdict(verdict: Verdict | None, limit: str) -> dict[str, Any] | None:
    if verdict is None:
        return None
    return {
        "state": verdict.state,
        "probability_within": verdict.probability_within,
        "limit": limit,
        "rule": verdict.limit.rule,
    }
