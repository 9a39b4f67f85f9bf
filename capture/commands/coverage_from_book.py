"""What a coverage with --book takes from the book, and what it files there first."""

import argparse
from collections.abc import Iterator
from hashlib import sha256
from typing import TYPE_CHECKING

from capture.commands.coverage_options import Asked
from capture.edge import Edge
from capture.errors import WrongUse
from capture.lenses import WHAT
from capture.tagged import refuse_other_tags
from store.evidence import Marked, PaperKept
from store.told.tags import tag_numbers

if TYPE_CHECKING:
    from annotate.givens import Givens
    from capture.intake.photo import Photo
    from capture.journey import Journey
    from store.codec import Entry
    from store.plan import Role


def first_marks(given: argparse.Namespace, edge: Edge, journey: "Journey") -> "Entry":
    """Return the entry that second marks are second to; raises WrongUse, NoSuchEntry."""
    first = journey.book.entry(given.second)
    if not isinstance(first.evidence, Marked) or first.evidence.key != given.check:
        raise WrongUse(f"entry {given.second} is no marks for {given.check}: name those marks")
    if first.by == edge.by:
        raise WrongUse(
            f"second marks are another person's, and {first.by} placed the first ones: say who "
            "places these with --by"
        )
    return first


def filed(
    photo: "Photo", journey: "Journey", location: str, role: "Role", first: "Entry | None"
) -> str:
    """Return the SHA-256 of the photo, filed now unless it lies at the location already."""
    digest = sha256(photo.original).hexdigest()
    if first and isinstance(first.evidence, Marked) and first.evidence.photo != digest:
        raise WrongUse(
            f"{photo.file_name} is another photo than the first marks are on: second marks need "
            "the same one"
        )
    told = journey.book.told
    if digest not in {taken.photo for taken in told.photos_at(location, told.now)}:
        refuse_other_tags(photo, location, tag_numbers(told))
        journey.add_photo(photo, location=location, role=role)
    return digest


def kept_profile(given: argparse.Namespace, journey: "Journey") -> str:
    """Return the entry of the lens profile's file, kept as a paper now unless it is already."""
    digest = sha256(given.lens.read_bytes()).hexdigest()
    for entry in journey.book.entries():
        if isinstance(entry.evidence, PaperKept) and entry.evidence.paper == digest:
            return entry.hash
    return journey.add_paper(given.lens, what=WHAT).hash


def givens_of(given: argparse.Namespace, asked: Asked, journey: "Journey") -> "Givens":
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


def overruled(given: argparse.Namespace, asked: Asked, journey: "Journey") -> Iterator[str]:
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
