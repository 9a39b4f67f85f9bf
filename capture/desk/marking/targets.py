"""The printed target that is seen in a photo, and what it takes for it to be a scale."""

from annotate.marks import Marker
from annotate.own_targets import SCALED, stated_side_mm
from annotate.quantity import Quantity
from capture.words.quantities import given_text


def seen_words(targets: tuple[Marker, ...]) -> str:
    """Return which printed targets are seen and what is to be done about their size.

    A target's number does not tell its size: prints get scaled, and other shops print cards too.
    """
    if not targets:
        return ""
    if len(targets) > 1:
        return f"{len(targets)} printed targets are seen: leave only one in, to use it as a scale"
    stated = stated_side_mm(targets[0])
    ours = f" (on our own card {stated:g} mm, at 100 %)" if stated is not None else ""
    return (
        f"Card marker {targets[0].identifier} is seen. It is a scale once the side of its black "
        f"square is typed, as measured{ours}"
    )


def scale_words(targets: tuple[Marker, ...], side: Quantity | None) -> str:
    """Return what stands on the screen of the targets: seen, or seen and a scale."""
    if len(targets) != 1:
        return seen_words(targets)
    if side is None:
        return f"Card marker {targets[0].identifier} seen: a scale once its side is typed (G)"
    told = f"Card marker {targets[0].identifier} seen: scale known, {given_text(side)}"
    stated = stated_side_mm(targets[0])
    if stated is not None and abs(side.to("mm").value / stated - 1) > SCALED:
        told += f". On our own card it is {stated:g} mm: see which is right"
    return told
