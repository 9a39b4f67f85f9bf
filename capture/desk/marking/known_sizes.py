"""What is known of two holes: the plan's sizes, each outranked by one typed on the screen."""

from collections.abc import Mapping
from typing import NamedTuple

from annotate.errors import AnnotateError
from annotate.givens import Givens, impossible
from annotate.quantity import Quantity
from capture.entry import parse_length
from capture.errors import CaptureError, Unfit
from capture.words.quantities import given_text
from store.characteristic import Characteristic
from store.plan import Job

# Field -> what it is called; the fields of Givens, and the printed card's marker.
NAMES = {
    "near_diameter": "near hole, drilled",
    "far_diameter": "far hole, drilled",
    "wall": "wall between the two",
    "bore_diameter": "bore of the face",
}
TARGET = "target"


class Sizes(NamedTuple):
    """The sizes to measure with, the printed target's side, and what was overruled, in words."""

    givens: Givens
    target: Quantity | None
    noted: tuple[str, ...]


def planned_sizes(check: Characteristic) -> Givens:
    """Return what the plan knows of the two holes of a coverage."""
    return Givens(
        near_diameter=check.near_diameter,
        far_diameter=check.far_diameter,
        wall=check.wall,
        bore_diameter=check.bore_diameter,
        flat=check.flat,
    )


def sizes_of(check: Characteristic, typed: Mapping[str, str], job: Job, *, flat: bool) -> Sizes:
    """Return the sizes with what was typed in the place of the plan's.

    Raises Unfit naming each field that holds no length, or one that no real part has.
    """
    lengths: dict[str, Quantity] = {}
    wrong: dict[str, str] = {}
    for field, text in typed.items():
        if not text.strip():
            continue
        try:
            lengths[field] = length_of(text, job)
        except (CaptureError, AnnotateError) as refused:
            wrong[field] = str(refused)
    if wrong:
        raise Unfit(wrong)
    planned = planned_sizes(check)
    is_flat = flat and "bore_diameter" not in lengths
    givens = Givens(
        near_diameter=lengths.get("near_diameter", planned.near_diameter),
        far_diameter=lengths.get("far_diameter", planned.far_diameter),
        wall=lengths.get("wall", planned.wall),
        bore_diameter=None if is_flat else lengths.get("bore_diameter", planned.bore_diameter),
        flat=is_flat,
    )
    if cannot_be := impossible(givens):
        raise Unfit(cannot_be)
    return Sizes(givens, lengths.get(TARGET), tuple(_overruled(planned, lengths)))


def plan_words(check: Characteristic, field: str) -> str:
    """Return what the plan says of one size, for beside its box."""
    size: Quantity | None = getattr(planned_sizes(check), field)
    return f"plan: {given_text(size)}" if size is not None else "not in the plan"


def sizes_words(givens: Givens, near: str = "near", far: str = "far") -> str:
    """Return in a line which sizes are known, by what the two holes are called."""
    short = {
        "near_diameter": near,
        "far_diameter": far,
        "wall": "wall",
        "bore_diameter": "bore",
    }
    known = [
        f"{words} {given_text(size)}"
        for field, words in short.items()
        if (size := getattr(givens, field)) is not None
    ]
    if givens.flat:
        known.append("flat face")
    return (
        "Sizes: " + ", ".join(known) if known else "No size is known: only shares, no millimetres"
    )


def length_of(text: str, job: Job) -> Quantity:
    """Return a typed length in mm, a bare number in the job's unit; raises BadReading."""
    unit = "in" if job.units == "US" else "mm"
    return parse_length(text, unit=unit, decimal_comma=job.decimal_comma)


def _overruled(planned: Givens, lengths: Mapping[str, Quantity]) -> list[str]:
    """Return a note for each typed length that is not the plan's within both uncertainties."""
    notes = []
    for field, typed in lengths.items():
        plans: Quantity | None = getattr(planned, field, None)
        if plans is None:
            continue
        in_mm = plans.to("mm")
        # Half widths of two rectangles: what a typed +- or a last step means.
        if abs(typed.value - in_mm.value) > (typed.u + in_mm.u) * 3**0.5:
            notes.append(
                f"{NAMES[field]}: {given_text(typed)} was typed and is used; the plan has "
                f"{given_text(plans)}: see which is right"
            )
    return notes
