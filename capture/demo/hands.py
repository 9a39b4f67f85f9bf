"""What the demo does again and again at the bench, and how it tells what came of it."""

from collections.abc import Callable
from typing import NamedTuple

from annotate.result import Known
from capture import layers
from capture.demo.samples import KnownHole, known_hole, sample_photo
from capture.errors import WrongUse
from capture.journey import Journey
from store.errors import NotProven
from store.evidence import Marked, PhotoTaken
from store.plan import Role
from store.round import Check

Step = Callable[[str], None]


class Told(NamedTuple):
    """What a demo tells while it runs: ``act`` what is done, ``outcome`` what came of it."""

    act: Step
    outcome: Step
    check: Callable[[Check], None]


def readings(journey: Journey, key: str, texts: tuple[str, ...]) -> Check:
    """Type the readings of a grid in its order; return the check after the last."""
    return [journey.reading(key, text) for text in texts][-1]


def differences(journey: Journey, key: str, zero: str, texts: tuple[str, ...]) -> None:
    """Type what a difference gauge showed, zeroed on a check's reading or a setting ring."""
    zeroed = journey.zero_on(zero)
    for text in texts:
        journey.reading(key, text, zero=zeroed)


def filed(journey: Journey, picture: str, at: str, role: Role, *, up: str = "") -> str:
    """File a sample picture and return its id."""
    entry = journey.add_photo(sample_photo(picture), location=at, role=role, up=up)
    if not isinstance(entry.evidence, PhotoTaken):
        raise WrongUse(f"{picture} was not filed as a photo")
    return entry.evidence.photo


def coverage(
    journey: Journey, key: str, picture: str, told: Told, *, by_hand: bool = False
) -> None:
    """File a sample picture, place its rims, measure, and tell both answers."""
    known = known_hole(picture)
    photo = sample_photo(picture)
    photo_id = filed(journey, picture, key.split(".", maxsplit=1)[0], "close-up")
    placed = layers.with_rims(
        layers.bare_layer(photo),
        photo,
        click=None if by_hand else known.click,
        near_points=known.near_points if by_hand else None,
        far_points=known.far_points if by_hand else None,
        givens=journey.givens(key),
    )
    check = journey.coverage(key, photo_id, placed.layer, journey.givens(key))
    told.check(check)
    told.outcome(_against_the_known(check, known))


def _against_the_known(check: Check, known: KnownHole) -> str:
    record = check.current.record if check.current else None
    if not isinstance(record, Marked) or not isinstance(record.result.covered, Known):
        return f"the picture's known answer is {100 * known.covered:.1f} % covered"
    low, high = record.result.covered.quantity.interval()
    inside = "inside" if low <= known.covered <= high else "OUTSIDE"
    return (
        f"known answer of this rendered picture: {100 * known.covered:.1f} % covered, {inside} "
        f"the measured interval of {100 * low:.1f} to {100 * high:.1f} %"
    )


def close(journey: Journey, hold_id: str, told: Told) -> None:
    """Try to close a hold point; tell the counts that are open, and what is unproven."""
    hold = journey.plan.hold_point(hold_id)
    told.act(f"hold point: {hold.name}?")
    for open_count in journey.round().counts_open:
        told.outcome(f"count: {open_count}")
    try:
        journey.close(hold_id)
    except NotProven as refused:
        told.outcome(f"refused, {len(refused.unproven)} unproven:")
        for key, why in refused.unproven:
            told.outcome(f"  {key}: {why}")
    else:
        told.outcome("closed: everything it hides is proven or waived in writing")
