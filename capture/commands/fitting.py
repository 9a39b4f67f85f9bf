"""A piece that goes on as a part -> filed, and what it voids."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from capture.commands.edge import say
from capture.commands.filed_photos import photo_meant
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.journey import Journey


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
    journey: "Journey", part: str, piece: str | None, *, note: str, photos: Sequence[str]
) -> Piece:
    """Say which piece went on as a part; raises WrongUse without what tells it apart, BadPlan."""
    there = journey.plan.part(part)
    if not piece:
        raise WrongUse(
            f'{part} needs --piece: what tells this piece from another, as "stamped 3, bag 2"'
        )
    before = journey.round()
    old = next((each.fitted for each in before.parts if each.part.id == part), None)
    proven = {check.key for check in before.checks if check.current}
    meant = tuple(photo_meant(journey, text) for text in photos)
    entry = journey.fit(part, piece, words=note, photos=meant)
    identity = str(getattr(old.record, "identity", "")) if old else ""
    return Piece(
        part=part,
        name=there.name,
        piece=piece,
        replaced=identity if identity != piece else "",
        voided=[c.key for c in journey.round().checks if c.key in proven and not c.current],
        entry=entry.hash,
        number=entry.seq,
    )


def say_fitted(fitted: Piece) -> None:
    """Say what went on, what it replaced, and what must be read again."""
    instead = f", instead of {fitted.replaced}" if fitted.replaced else ""
    say(f"{fitted.name} is on: {fitted.piece}{instead}, entry {fitted.number}")
    if fitted.voided:
        say(f"to be read again on this piece: {', '.join(fitted.voided)}")
