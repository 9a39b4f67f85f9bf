"""A photo and what was clicked on it -> the layer of marks that is measured."""

from collections.abc import Sequence
from math import dist
from typing import TYPE_CHECKING, Literal, NamedTuple

from msgspec import UNSET

from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import FarOutline, FarUnseen, Layer, Marker, PixelPair, Point, Rim
from annotate.quantity import Quantity
from annotate.wall_hint import WallHint, wall_hint
from capture.errors import BadPhoto, WrongUse
from capture.intake.photo import Photo

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from annotate.edges import Rims

# An ellipse has five unknowns; the far rim is a circle whose centre and size are looked for.
FEWEST_POINTS = {"near": 5, "far": 3}
# A point set by hand lands about this far off the edge (common practice, no source).
HAND_SIGMA_PX = 1.0
# Points that are all nearer to each other than this are one place, not a piece of an edge.
NO_ARC_PX = 4 * HAND_SIGMA_PX
_NOT_ROUND = "a slot or an oval behind is drawn as an outline instead (--far-outline)"
# Why no far rim is marked, and what to do about it, by what is seen instead.
_UNSEEN = (
    "the far rim cannot be seen",
    f"light the hole from the side, look squarer, or mark the rim by hand; {_NOT_ROUND}",
)
_UNFOUND = {
    "elsewhere": (
        "what looks like the near hole's own far edge is not where the wall typed puts it",
        "check the wall and the near diameter, or leave the wall out",
    ),
    "slot": (
        "the edge behind has a straight side: it is a slot's, or that of a far wider hole",
        (
            "outline it by polygon, its corners once round with the hidden ones (--far-outline); "
            "if it is round, mark its rim by hand"
        ),
    ),
    "end": (
        "the edge that shows may be the far drilling's other end, its rim in the dark",
        (
            "light the hole from the camera's side until the rim shows; do not mark that edge; "
            f"{_NOT_ROUND}"
        ),
    ),
}


def bare_layer(photo: Photo, *, focal_35mm: float | None = None) -> Layer:
    """Return the layer of a photo without marks; a typed focal length outranks the camera's.

    Raises BadPhoto for a photo that can't be shown.
    """
    if photo.width_px is None or photo.height_px is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    return Layer(
        width_px=photo.width_px,
        height_px=photo.height_px,
        focal_35mm=focal_35mm or photo.focal_35mm,
    )


def hand_rim(which: Literal["near", "far"], points_px: Sequence[PixelPair]) -> Rim:
    """Return a rim placed by hand.

    Raises WrongUse for fewer different points than it needs, and for far points that tell no arc.
    """
    # As pairs: points read from a file come as lists, and a set takes no lists.
    pairs = tuple((float(x), float(y)) for x, y in points_px)
    different, needed = len(set(pairs)), FEWEST_POINTS[which]
    if different < needed:
        there = "1 different point is" if different == 1 else f"{different} different points are"
        raise WrongUse(
            f"the {which} rim needs at least {needed} different points and {there} given: "
            "place more along its edge"
        )
    if which == "far" and (wide := reach_px(pairs)) < NO_ARC_PX:
        raise WrongUse(
            f"the far rim's points lie within {wide:.2g} px of each other, no farther than a hand "
            "is off: place them apart along its edge"
        )
    return Rim(which=which, points_px=pairs, sigma_px=HAND_SIGMA_PX)


class FarUnfound(CannotMeasure):
    """No far rim was found; ``layer`` bears what was found besides."""

    def __init__(self, layer: Layer, reason: str, advice: str) -> None:
        super().__init__(reason, advice)
        self.layer = layer


def reach_px(points_px: Sequence[PixelPair]) -> float:
    """Return how far apart the two points are that lie farthest from each other."""
    return max((dist(a, b) for a in points_px for b in points_px), default=0.0)


class Placed(NamedTuple):
    """A layer with its rims, and what was noticed while they were looked for."""

    layer: Layer
    warnings: tuple[str, ...]


def with_rims(
    layer: Layer,
    photo: Photo,
    *,
    click: PixelPair | None = None,
    near_points: Sequence[PixelPair] | None = None,
    far_points: Sequence[PixelPair] | None = None,
    givens: Givens | None = None,
) -> Placed:
    """Return the layer with its rims: by hand where points are given, else found.

    What is not given is looked for from ``click``, any point where the hole is open; the near
    hole's own back edge is always looked for in the picture. A wall and a near diameter among
    ``givens`` foretell that edge, and the marks bear that they were found so. Raises
    CannotMeasure if a rim cannot be seen, WrongUse if a point lies outside the picture.
    """
    hint = _hint(layer, givens)
    near = hand_rim("near", near_points) if near_points else None
    far = hand_rim("far", far_points) if far_points else None
    by_hand = [rim for rim in (near, far) if rim is not None]
    refuse_outside(layer, [*([click] if click else []), *(p for r in by_hand for p in r.points_px)])
    if near and far and set(far.points_px) <= set(near.points_px):
        raise WrongUse(
            "the far points are points of the near rim: give those on the edge of the hole behind"
        )
    if near and far:
        # The near hole's other end tells the camera's lean far better than eight points can.
        found = _found(photo, Point(*click) if click else None, near, hint)
        return Placed(_with(layer, found.near, far, *([found.back] if found.back else [])), ())
    if click is None:
        # An empty list is an answer too: nobody could mark that rim.
        if near_points is None or far_points is None:
            raise WrongUse("no rim is given and no place to look for one: give a click")
        return Placed(_with(layer, *by_hand), ())
    seed = Point(*click)
    found = _found(photo, seed, near, hint)
    far = far or found.far
    back = [found.back] if found.back else []
    marks: list[Rim | FarUnseen] = [found.near]
    if far:
        marks.append(far)
    elif found.far_state in {"open", "shut"}:
        known = UNSET if hint is None else hint
        marks.append(FarUnseen(found.far_state, placed="found", seed=seed, wall_hint=known))
    else:
        reason, advice = _UNFOUND.get(found.far_state, _UNSEEN)
        raise FarUnfound(_with(layer, *marks, *back), reason, advice)
    return Placed(_with(layer, *marks, *back), found.warnings)


def with_outline(
    layer: Layer,
    photo: Photo,
    corners: Sequence[PixelPair],
    *,
    click: PixelPair | None = None,
    near_points: Sequence[PixelPair] | None = None,
    givens: Givens | None = None,
) -> Placed:
    """Return the layer with its near rim, found or by hand, and a far opening that was drawn.

    ``givens`` as of ``with_rims``. Raises CannotMeasure if the near rim can't be seen, WrongUse if
    a point lies outside the picture, or for fewer than three different corners.
    """
    pairs = tuple((float(x), float(y)) for x, y in corners)
    if len(set(pairs)) < FEWEST_POINTS["far"]:
        raise WrongUse("the far outline needs at least three different corners")
    near = hand_rim("near", near_points) if near_points else None
    refuse_outside(layer, [*([click] if click else []), *(near.points_px if near else ()), *pairs])
    hint = _hint(layer, givens)
    found = _found(photo, Point(*click) if click else None, near, hint)
    rims = [found.near, *([found.back] if found.back else [])]
    return Placed(_with(layer, *rims, FarOutline(pairs, HAND_SIGMA_PX)), found.warnings)


def with_marker(layer: Layer, photo: Photo, side: Quantity) -> Layer:
    """Return the layer with the printed marker that is in the picture; raises CannotMeasure."""
    return _with(layer, find_marker(photo, side))


def find_marker(photo: Photo, side: Quantity) -> Marker:
    """Return the printed marker in a photo; ``side`` is its black square's outer edge.

    Of several, the one of our own card or tags that is printed in this size. Raises CannotMeasure
    if there is no marker, or if it cannot be told which is meant.
    """
    from annotate.own_targets import (  # noqa: PLC0415 - loads what only this needs
        CARD_DICTIONARY,
        TAG_DICTIONARY,
        is_stated,
    )
    from annotate.target import find_markers  # noqa: PLC0415 - the same

    pixels = _pixels(photo)
    found = [
        marker
        for dictionary in (CARD_DICTIONARY, TAG_DICTIONARY)
        for marker in find_markers(pixels, side, dictionary)
    ]
    if not found:
        raise CannotMeasure(
            "no printed marker is seen in the picture",
            "get the whole marker with its white border in, sharp and without glare",
        )
    meant = [marker for marker in found if is_stated(marker, side)] if len(found) > 1 else found
    if len(meant) != 1:
        mm = side.to("mm").value
        raise CannotMeasure(
            f"{len(found)} printed markers are in the picture and {len(meant)} of them are of "
            f"{mm:.4g} mm",
            "leave only one in",
        )
    return meant[0]


def _hint(layer: Layer, givens: Givens | None) -> WallHint | None:
    """Return what is known of the wall before rims are looked for, None without its sizes."""
    if givens is None:
        return None
    from annotate.optics.lens import focal_px  # noqa: PLC0415 - loads what only this needs

    return wall_hint(givens.near_diameter, givens.wall, focal_px(layer))


def _found(photo: Photo, click: Point | None, near: Rim | None, hint: WallHint | None) -> "Rims":
    """Return the rims that are looked for; behind a near rim placed by hand only the inner ones.

    Of such a near rim the chamfer above it is looked for, too: how deep it lies.
    """
    from annotate.by_hand import find_behind  # noqa: PLC0415 - loads what only this needs
    from annotate.edges import NotFound, find_rims  # noqa: PLC0415 - the same
    from annotate.fit import FitFailed, fit_ellipse  # noqa: PLC0415 - the same

    if near is not None:
        fitted = fit_ellipse(near.array_px(), near.sigma_px)
        if isinstance(fitted, FitFailed):
            raise CannotMeasure(f"no ellipse fits the near rim: {fitted.reason}", "mark it again")
        return find_behind(_pixels(photo), near, click, hint)
    if click is None:
        raise WrongUse("no rim is given and no place to look for one: give a click")
    rims = find_rims(_pixels(photo), click, hint)
    if isinstance(rims, NotFound):
        raise CannotMeasure(rims.reason, rims.advice_or_by_hand)
    return rims


def _pixels(photo: Photo) -> "npt.NDArray[np.uint8]":
    if photo.pixels is None:
        raise BadPhoto(f"{photo.file_name} {photo.unreadable}: nothing is measured on it")
    return photo.pixels


def refuse_outside(layer: Layer, points: Sequence[PixelPair]) -> None:
    """Raise WrongUse for the first point that lies outside the picture."""
    # The first pixel's centre is 0, so the picture begins half a pixel before it.
    begin, right, below = -0.5, layer.width_px - 0.5, layer.height_px - 0.5
    for x, y in points:
        if not (begin <= x <= right and begin <= y <= below):
            raise WrongUse(
                f"({x:.10g}, {y:.10g}) lies outside the upright picture of "
                f"{layer.width_px} x {layer.height_px} pixels: x goes from 0 at its left to "
                f"{layer.width_px - 1}, y from 0 at its top to {layer.height_px - 1}"
            )


def _with(layer: Layer, *marks: Rim | FarUnseen | FarOutline | Marker) -> Layer:
    return Layer(
        width_px=layer.width_px,
        height_px=layer.height_px,
        marks=(*layer.marks, *marks),
        focal_35mm=layer.focal_35mm,
    )
