"""A piece goes on as a part: what it replaces, what it voids, and the part that belongs there."""

from typing import NamedTuple

from capture.errors import WrongUse
from capture.journey import Journey
from store.change import PartAdded
from store.plan import Part

_LONGEST_ID = 32


class Piece(NamedTuple):
    """A piece that went on; ``voided`` are the checks that must be read again for it."""

    part: str
    name: str
    piece: str
    replaced: str
    voided: list[str]
    entry: str
    number: int


def fit_piece(
    journey: Journey, part: str, piece: str, *, note: str = "", photos: tuple[str, ...] = ()
) -> Piece:
    """Say which piece went on as a part; ``photos`` are filed ones. Raises BadPlan, BadAct."""
    there = journey.plan.part(part)
    known = journey.round()
    with journey.book.still():
        entry = journey.fit(part, piece, words=note, photos=photos)
        before, after = journey.book.round_before(entry, known), journey.round()
    old = next((each.fitted for each in before.parts if each.part.id == part), None)
    proven = {check.key for check in before.checks if check.current}
    identity = str(getattr(old.record, "identity", "")) if old else ""
    return Piece(
        part=part,
        name=there.name,
        piece=piece,
        replaced=identity if identity != piece else "",
        voided=[c.key for c in after.checks if c.key in proven and not c.current],
        entry=entry.hash,
        number=entry.seq,
    )


def part_at(journey: Journey, location: str) -> tuple[str, bool]:
    """Return the part that belongs at a location, and whether it was added to the plan for it.

    Raises WrongUse where several belong there, BadPlan.
    """
    there = [part.id for part in journey.plan.parts if part.location == location]
    if len(there) > 1:
        raise WrongUse(f"several parts belong at {location}, say which: {', '.join(there)}")
    if there:
        return there[0], False
    added = Part(f"plug-{location}"[:_LONGEST_ID], f"Plug of {location}", location)
    journey.change_plan(PartAdded(added), "a plug went in where the plan names no part")
    return added.id, True
