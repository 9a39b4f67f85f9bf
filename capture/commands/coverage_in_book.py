"""benchproof coverage with --book: the same measurement, filed and judged in a book."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from capture.commands import answer, exits, wording
from capture.commands.books import opened
from capture.commands.coverage_options import Asked, place, read_options
from capture.commands.edge import Edge, say, say_json, working
from capture.commands.photo import role_of
from capture.errors import WrongUse
from capture.intake.photo import read_photo
from store.evidence import Marked, PhotoTaken

if TYPE_CHECKING:
    from annotate.givens import Givens
    from capture.journey import Journey
    from store.round import Check


def run(given: argparse.Namespace, edge: Edge) -> int:
    """File photo and marks, say what was measured; return the exit code of the verdict.

    The photo is kept even where nothing can be measured on it; marks are kept only with a number.
    """
    if given.limit:
        raise WrongUse("the limit is the plan's: leave --limit out, or --book")
    asked = read_options(given)
    role = role_of(given.role)
    with opened(given.book, edge) as journey, working("reading the photo") as now:
        location, check = journey.plan.characteristic(given.check)
        if check.kind != "coverage":
            raise WrongUse(f"{given.check} is a {check.kind}, not a coverage")
        photo = read_photo(given.photo)
        entry = journey.add_photo(photo, location=location.id, role=role)
        now("looking for the rims")
        placed = place(given, photo, asked.marker)
        now("measuring")
        kept = entry.evidence.photo if isinstance(entry.evidence, PhotoTaken) else ""
        done = journey.coverage(given.check, kept, placed.layer, _givens(given, asked, journey))
        noted = (*asked.noted, *_overruled(given, asked, journey), *placed.warnings)
    _say(given, asked._replace(noted=noted), done)
    return exits.OF_STATE[done.state]


def _givens(given: argparse.Namespace, asked: Asked, journey: "Journey") -> "Givens":
    """Return what the plan knows of the holes, outranked by what was typed now."""
    from annotate.givens import Givens  # noqa: PLC0415 - beside its use

    planned = journey.givens(given.check)
    flat = given.flat or (planned.flat and "bore_diameter" not in asked.lengths)
    return Givens(
        near_diameter=asked.lengths.get("near_diameter", planned.near_diameter),
        far_diameter=asked.lengths.get("far_diameter", planned.far_diameter),
        wall=asked.lengths.get("wall", planned.wall),
        bore_diameter=None if flat else asked.lengths.get("bore_diameter", planned.bore_diameter),
        flat=flat,
    )


def _overruled(given: argparse.Namespace, asked: Asked, journey: "Journey") -> Iterator[str]:
    """Yield a note for each typed length that is not the plan's, within both uncertainties."""
    planned = journey.givens(given.check)
    for name, typed in asked.lengths.items():
        plans = getattr(planned, name, None)
        if plans is None:
            continue
        # Half widths of two rectangles: what a typed +- or a last step means.
        reach = (typed.to("mm").u + plans.to("mm").u) * 3**0.5
        if abs(typed.to("mm").value - plans.to("mm").value) > reach:
            yield (
                f"{name.replace('_', ' ')} {typed.to('mm').value:g} mm was typed and used; "
                f"the plan has {plans.to('mm').value:g} mm: check which is right"
            )


def _say(given: argparse.Namespace, asked: Asked, check: "Check") -> None:
    record = check.current.record if check.current else None
    if not isinstance(record, Marked):
        return
    limit_text = wording.limit_text(check.characteristic.limit)
    if given.json:
        say_json(answer.coverage_answer(record.result, check.verdict, limit_text, asked.noted))
        return
    for line in wording.coverage_lines(record.result, check.location.near, check.location.far):
        say(line)
    if check.verdict:
        say(wording.verdict_line(check.verdict, limit_text))
    for noted in (*asked.noted, *record.result.warnings):
        say(f"note     {noted}")
    say(wording.SCREENING)
