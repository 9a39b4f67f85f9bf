"""What a person should know of the marks and lengths that a coverage is made of: warnings.

What nobody gave is said with what was taken for it; what does not agree with the picture is said,
and refused where one of the two must be about another hole.
"""

from collections.abc import Iterator
from math import log, pi

import numpy as np

from annotate import holes
from annotate.errors import CannotMeasure
from annotate.holes import INDEX, Array
from annotate.marks import Rim
from annotate.sight import sighting
from annotate.sight.ways import ways

_STEEP_DEG = 25.0  # the hole's own wall then hides a fifth of an ordinary hole
_SHORT_ARC_DEG = 60.0  # below it a circle's size and place are hardly told apart
_TWO_SCALES = 0.09  # a card beside the hole is a little nearer or farther, and leans a little
_TWO_SIZES = 0.25  # ... and no card or lean makes so much: one is not what lies in the picture
_DEEP = 2.0  # standard deviations of how deep the near edge may lie
_SURELY = 0.975
_NO_CHAMFER = 0.6  # of the wall: a chamfer takes no more than half of it
_HELD_MM = (25.0, 1000.0)  # from the hole, as a camera is held; common practice, no source
_CONTRADICTED, _ANOTHER_HOLE = 5.0, 0.15  # sigma, and part of the length itself
_STRAINED = 1.8  # a rim this much worse than stated is no chance


def warnings(ready: sighting.Sighting, state: Array, weight: Array) -> tuple[str, ...]:
    """Return what a person should know of the marks and lengths; raises CannotMeasure."""
    told = list(assumed(ready))
    angle = float(np.sum(weight * holes.sight_angle_deg(state)))
    if angle > _STEEP_DEG:
        told.append(f"the camera looks {angle:.0f} degrees off the hole's axis: go squarer")
    told.extend(leaning(state, weight))
    arc = _arc_deg(ready, state[:1])
    if arc < _SHORT_ARC_DEG:
        told.append(f"only {arc:.0f} degrees of the far rim are marked: give its diameter")
    near = ready.near_ellipse
    told.extend(_loose(ready.far, (near.semi_major * near.semi_minor) ** 0.5))
    if ready.strain > _STRAINED:
        told.append("the points lie badly on round holes of these sizes: check rims and diameters")
    if len(ready.side):
        told.append("the near hole's back edge shows in pieces: they tell the camera's lean only")
    elif ready.back is None and ready.layer.rim("back") is not None:
        told.append("the near hole's back edge, as marked, does not fit and was left out")
    told.extend(_conflicts(ready, state, weight))
    told.extend(_two_scales(ready))
    return tuple(told)


def leaning(state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning if both ways that the camera may lean are counted."""
    leans = ways(state, weight)
    if leans.both:
        yield (
            "the picture does not settle which way the camera leans; both ways are counted, with "
            f"odds of {100 * leans.odds:.0f} to {100 - 100 * leans.odds:.0f}"
        )


def assumed(ready: sighting.Sighting) -> list[str]:
    """Return a warning for each thing that nobody gave."""
    g = ready.givens
    told = []
    if g.wall is None:
        told.append("wall thickness not given: taken as 2 mm, 0.9 to 4.4 mm at 95 %")
    if g.bore_diameter is None and not g.flat:
        told.append("bore not given: taken as anything from flat to 28 mm in diameter")
    if ready.lens is None and ready.layer.focal_35mm is None:
        told.append(
            "focal length not known: taken as 45 mm (35 mm equivalent), 14 to 146 at 95 %, "
            "with the camera 4 to 42 cm away"
        )
    return [*told, *_of_profile(ready)]


def _of_profile(ready: sighting.Sighting) -> Iterator[str]:
    if ready.lens is None:
        return
    known = 100 * ready.lens.u_focal_px / ready.lens.focal_px
    yield f"lens as measured: focal length taken as known to {known:.1f} %, for focus changes it"
    out = ready.lens.bend(ready.near.array_px()) - ready.lens.centre()
    if np.linalg.norm(out, axis=1).max() > ready.lens.reach * ready.camera.half_diagonal_px:
        yield "the hole lies farther out than the lens profile's photos showed: aim at its middle"


def _arc_deg(ready: sighting.Sighting, state: Array) -> float:
    where = holes.pose(state, ready.camera)
    depth = holes.depths(state)[1]
    x, y = holes.carry_back(state, where, ready.camera, ready.far.array_px(), depth)
    angle = np.arctan2(y[0] - state[0, INDEX["far_y"]], x[0] - state[0, INDEX["far_x"]])
    gaps = np.diff(np.sort(angle), append=np.min(angle) + 2 * pi)
    return float(360 - np.degrees(np.max(gaps)))


def _loose(far: Rim, radius_px: float) -> Iterator[str]:
    """Yield what of a far rim's place was left open when it was found."""
    if sighting.may_be_end(far, radius_px):
        yield (
            "what shows of the far rim may be its drilling's other end, lit from behind: "
            "light the hole from the camera's side"
        )
    elif sighting.may_be_another(far, radius_px):
        yield (
            "another edge, farther in, may be the far rim: check by eye which one is marked, "
            "or light the hole from another side"
        )


def _conflicts(ready: sighting.Sighting, state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning for each typed length that what is seen pulls three sigma away from.

    Raises CannotMeasure where it is pulled so far that one of the two is about another hole.
    """
    names = {"ln_near": "near diameter", "ln_far": "far diameter", "ln_wall": "wall thickness"}
    given = {
        "ln_near": ready.givens.near_diameter,
        "ln_far": ready.givens.far_diameter,
        "ln_wall": ready.givens.wall,
    }
    for name, words in names.items():
        prior = ready.priors[INDEX[name]]
        pulled = abs(float(np.sum(weight * holes.column(state, name))) - prior.mean)
        if given[name] is None or pulled <= 3 * prior.deviation:
            continue
        if pulled > max(_CONTRADICTED * prior.deviation, _ANOTHER_HOLE):
            raise CannotMeasure(
                f"the {words} typed is not that of the holes in the picture", "check both"
            )
        yield f"the {words} typed does not agree with the picture: check both"
    yield from _deep_edge(ready, state, weight)
    yield from _held(ready, state, weight)


def _deep_edge(ready: sighting.Sighting, state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning if a typed wall only agrees with a near edge lying unheard of deep.

    Raises CannotMeasure where little of the wall would be left below that edge.
    """
    wall, prior = ready.givens.wall, ready.priors[INDEX["ln_depth"]]
    depths = holes.column(state, "ln_depth")
    deep = float(np.sum(weight * depths))
    if wall is None or deep <= prior.mean + _DEEP * prior.deviation:
        return
    # Marks that a hand set badly may put it anywhere, and say nothing of what was typed.
    found = ready.near.placed == "found"
    marker = "" if ready.marker is None else ", the side of the marker"
    if found and np.sum(weight * (np.exp(depths) > _NO_CHAMFER * wall.to("mm").value)) > _SURELY:
        raise CannotMeasure(
            "the rims found are not those of holes with the lengths typed: the near hole's edge "
            f"would lie {np.exp(deep):.1f} mm below the face",
            f"check the wall, the near diameter{marker} and the bore, or mark the near rim by hand",
        )
    yield (
        "the wall thickness typed does not agree with the picture, unless the near edge lies "
        f"{np.exp(deep):.1f} mm below the face: check both"
    )


def _held(ready: sighting.Sighting, state: Array, weight: Array) -> Iterator[str]:
    """Yield a warning if a typed near diameter puts the camera where none is held."""
    # Where the focal length is not known the camera's place is a prior, and says nothing.
    if ready.givens.near_diameter is None or (
        ready.lens is None and ready.layer.focal_35mm is None
    ):
        return
    away = np.linalg.norm(holes.pose(state, ready.camera).camera_mm, axis=1)
    away_mm = float(np.exp(np.sum(weight * np.log(away))))
    low, high = _HELD_MM
    if not low < away_mm < high:
        yield (
            f"by the near diameter typed the camera was {away_mm / 10:.1f} cm from the hole: "
            "check the diameter if it was not"
        )


def _two_scales(ready: sighting.Sighting) -> Iterator[str]:
    """Yield a warning if a typed near diameter and a printed marker give two different scales.

    Both lie on one face at about one distance and are foreshortened alike, so the square roots of
    their areas in the picture must be as their sizes. Compared before any model: with the lens
    unknown, a fit explains even a gross conflict by a camera held absurdly close. Raises
    CannotMeasure where they differ by more than lying differently can make.
    """
    if ready.marker is None or ready.givens.near_diameter is None:
        return
    hole = ready.near_ellipse
    hole_mm = ready.givens.near_diameter.to("mm").value / 2
    (x, y), side_mm = np.asarray(ready.marker.corners_px).T, ready.marker.side.to("mm").value
    square_px2 = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    by_hole = (hole.semi_major * hole.semi_minor) ** 0.5 / hole_mm
    by_marker = square_px2**0.5 / side_mm
    differ = abs(log(by_hole / by_marker))
    scales = (
        f"the near diameter typed and the printed marker give two scales, {by_hole:.3g} and "
        f"{by_marker:.3g} px per mm"
    )
    if differ > _TWO_SIZES:
        raise CannotMeasure(scales, "check the near diameter and the side of the marker")
    if differ > _TWO_SCALES:
        yield f"{scales}: check both lengths"
