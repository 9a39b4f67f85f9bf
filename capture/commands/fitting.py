"""A piece that goes on as a part -> filed, and what it voids."""

from collections.abc import Sequence

from capture import fitting
from capture.commands.edge import say
from capture.commands.filed_photos import photo_meant
from capture.errors import WrongUse
from capture.fitting import Piece
from capture.journey import Journey


def fit_piece(
    journey: Journey, part: str, piece: str | None, *, note: str, photos: Sequence[str]
) -> Piece:
    """Say which piece went on as a part; raises WrongUse without what tells it apart, BadPlan."""
    journey.plan.part(part)
    if not piece:
        raise WrongUse(
            f'{part} needs --piece: what tells this piece from another, as "stamped 3, bag 2"'
        )
    meant = tuple(photo_meant(journey, text) for text in photos)
    return fitting.fit_piece(journey, part, piece, note=note, photos=meant)


def say_fitted(fitted: Piece) -> None:
    """Say what went on, what it replaced, and what must be read again."""
    instead = f", instead of {fitted.replaced}" if fitted.replaced else ""
    say(f"{fitted.name} is on: {fitted.piece}{instead}, entry {fitted.number}")
    if fitted.voided:
        say(f"to be read again on this piece: {', '.join(fitted.voided)}")
