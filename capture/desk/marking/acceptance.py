"""Marks that are accepted -> measured and filed; and what is still lacking before they can be."""

from typing import NamedTuple

from annotate.givens import Givens
from annotate.marks import FarOutline, FarUnseen, Layer, Rim
from capture.desk.marking.lens_kept import KeptLens
from capture.journey import Journey
from capture.layers import FEWEST_POINTS, NO_ARC_PX, reach_px
from store.evidence import PhotoTaken
from store.round import Check


class Accepted(NamedTuple):
    """What the hand says yes to: these marks, with these sizes, on this photo."""

    key: str
    taken: PhotoTaken
    layer: Layer
    givens: Givens
    lens: KeptLens | None = None
    second_to: str = ""
    together: tuple[str, ...] = ()  # entries of marks on other photos, measured as one with these


def lacking(layer: Layer) -> str:
    """Return what is still to be placed before the rims can be accepted, "" if nothing is."""
    near, far = layer.rim("near"), layer.rim("far")
    if near is None:
        return "the near rim is not placed yet"
    if len(near.points_px) < FEWEST_POINTS["near"]:
        return f"the near rim needs {FEWEST_POINTS['near']} points or more"
    if far is None:
        return "" if says_far(layer) else "the far rim is not placed yet"
    if len(far.points_px) < FEWEST_POINTS["far"]:
        return f"the far rim needs {FEWEST_POINTS['far']} points or more"
    if far.placed == "hand" and reach_px(far.points_px) < NO_ARC_PX:
        return "the far rim's points lie on one place: move them apart along its edge"
    return ""


def says_far(layer: Layer) -> bool:
    """Tell whether a layer says where the far rim or opening is, or that none is seen."""
    return any(
        isinstance(mark, FarUnseen | FarOutline) or (isinstance(mark, Rim) and mark.which == "far")
        for mark in layer.marks
    )


def file_accepted(journey: Journey, accepted: Accepted) -> Check:
    """Measure accepted marks and keep them; return the check. In the thread of the book, 2-5 s.

    Raises CannotMeasure and PhotosDisagree with nothing kept, BadAct for second marks by the first
    one's hand.
    """
    kept = accepted.lens
    return journey.coverage(
        accepted.key,
        accepted.taken.photo,
        accepted.layer,
        accepted.givens,
        second_to=accepted.second_to,
        lens=kept.profile if kept else None,
        lens_paper=kept.entry if kept else "",
        together=accepted.together,
    )
