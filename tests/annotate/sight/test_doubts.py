"""Which warnings states of one photo give, each on either side of where it begins."""

from dataclasses import replace

import numpy as np
import pytest
from msgspec import structs

from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.holes import INDEX
from annotate.marks import MAY_BE_END, Ellipse, Layer, Marker, Rim
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.sight import doubts
from annotate.sight.doubts import warnings
from annotate.sight.sighting import Sighting
from tests.annotate.test_coverage import givens_of, layer_of, mm
from tests.annotate.test_coverage_states import LEANING, ONE, exact, having


def told_of(ready: Sighting, states: np.ndarray, *weight: float) -> str:
    return " / ".join(warnings(ready, states, np.array(weight or (1.0,))))


def test_a_sound_photo_with_everything_given_has_no_warning() -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    assert warnings(ready, state, ONE) == ()


def test_a_steep_view_is_told_in_degrees_of_all_states_together() -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    steep = having(state, tilt_x=np.sin(np.radians([20.0, 40.0])).tolist())
    assert told_of(ready, steep, 0.8, 0.2) == ""
    assert told_of(ready, steep, 0.7, 0.3) == (
        "the camera looks 26 degrees off the hole's axis: go squarer"
    )


@pytest.mark.parametrize("axis", ["tilt_x", "tilt_y"])
def test_two_leans_are_told_unless_one_is_all_but_sure_or_both_are_slight(axis: str) -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    level = having(state, tilt_x=0.0, tilt_y=0.0)

    def both(degrees: float, share: float) -> str:
        sine = float(np.sin(np.radians(degrees)))
        return told_of(ready, having(level, **{axis: [sine, -sine]}), share, 1 - share)

    assert "which way the camera leans; both ways are counted" in both(10.0, 0.5)
    assert both(10.0, 0.8).endswith("with odds of 80 to 20")
    assert both(10.0, 0.2) == both(10.0, 0.8)
    assert "which way" in both(10.0, 0.97)
    assert both(10.0, 0.98) == ""
    assert "which way" in both(3.3, 0.5)
    assert both(2.7, 0.5) == ""


@pytest.mark.parametrize(
    ("first", "last", "short"),
    [(150, 205, 55), (-25, 30, 55), (40, 99, 59), (40, 101, None), (170, 320, None)],
)
def test_a_short_arc_of_the_far_rim_is_told_in_degrees(
    first: float, last: float, short: int | None
) -> None:
    scene = replace(LEANING, r_far=5.0)
    full = layer_of(scene)
    seen = scene.rim("far", np.radians(np.linspace(first, last, 12)))
    arc = Rim("far", tuple(map(tuple, seen.tolist())), 0.05)
    marks = tuple(arc if getattr(m, "which", "") == "far" else m for m in full.marks)
    ready, state = exact(scene, givens_of(scene, far=True), structs.replace(full, marks=marks))
    # The best fit's arc: the states after it do not count.
    states = np.concatenate([state, having(state, far_x=4.0, far_y=4.0)])
    wanted = f"only {short} degrees of the far rim are marked: give its diameter" if short else ""
    assert told_of(ready, states, 1.0, 0.0) == wanted


def test_a_strained_fit_and_a_back_edge_left_out_are_told() -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True), layer_of(LEANING, back=24))
    assert told_of(ready, state) == ""
    assert told_of(ready._replace(strain=1.75), state) == ""
    assert "lie badly on round holes" in told_of(ready._replace(strain=1.85), state)
    assert told_of(ready._replace(back=None), state) == (
        "the near hole's back edge, as marked, does not fit and was left out"
    )
    bare, state = exact(LEANING, givens_of(LEANING, far=True))
    assert bare.back is None
    assert told_of(bare, state) == ""
    pieces = bare._replace(side=ready.near.array_px()[:9])
    assert told_of(pieces, state) == (
        "the near hole's back edge shows in pieces: they tell the camera's lean only"
    )


@pytest.mark.parametrize("placed", ["found", "hand"])
def test_a_far_rim_that_may_be_the_other_end_is_told_where_it_was_found(placed: str) -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    near = ready.near_ellipse
    size = float(np.sqrt(near.semi_major * near.semi_minor))
    for share, told in ((0.7, False), (0.8, placed == "found")):
        far = structs.replace(ready.far, sigma_px=share * MAY_BE_END * size, placed=placed)
        words = told_of(ready._replace(far=far), state)
        assert ("other end, lit from behind" in words) == told
    for part, told in ((0.085, False), (0.1, placed == "found"), (0.18, placed == "found")):
        far = structs.replace(ready.far, sigma_px=part * size, placed=placed)
        words = told_of(ready._replace(far=far), state)
        assert ("another edge, farther in, may be the far rim" in words) == told


LENGTHS = [
    ("ln_near", "near_diameter", 8.0, "near diameter"),
    ("ln_far", "far_diameter", 8.0, "far diameter"),
    ("ln_wall", "wall", 2.0, "wall thickness"),
]


@pytest.mark.parametrize(("name", "field", "value", "words"), LENGTHS)
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_typed_length_that_the_picture_contradicts_is_told_and_then_refused(
    name: str, field: str, value: float, words: str, side: float
) -> None:
    every = givens_of(LEANING, far=True)

    def pulled(by: float, part: float) -> str:
        """What is told where the picture says ``by`` of itself more, of a length known to part."""
        givens = structs.replace(every, **{field: Quantity(value, "mm", part * value)})
        ready, state = exact(LEANING, givens)
        middle = state[0, INDEX[name]]
        # Two states whose weighted mean it is.
        states = having(state, **{name: [middle + side * by + 0.003, middle + side * by - 0.001]})
        return told_of(ready, states, 0.25, 0.75)

    assert pulled(2.9 * 0.01, 0.01) == ""
    does_not_agree = f"the {words} typed does not agree with the picture: check both"
    assert pulled(3.1 * 0.01, 0.01) == does_not_agree
    assert pulled(0.145, 0.01) == does_not_agree  # far off in sigma, but near enough in itself
    assert pulled(4.9 * 0.04, 0.04) == does_not_agree  # and the other way about
    for by, part in ((0.155, 0.01), (5.1 * 0.04, 0.04)):
        with pytest.raises(CannotMeasure, match=f"the {words} typed is not that") as refused:
            pulled(by, part)
        assert refused.value.advice == "check both"


def test_a_length_that_nobody_typed_is_contradicted_by_nothing() -> None:
    ready, state = exact(LEANING, Givens(bore_diameter=mm(50.0)))
    far_off = having(state, ln_near=3.0, ln_far=-3.0, ln_wall=3.0)
    assert "typed" not in told_of(ready, far_off)


def test_a_near_edge_unheard_of_deep_is_laid_to_the_wall_that_was_typed() -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    prior = ready.priors[INDEX["ln_depth"]]

    def deep(sigmas: float, sight: Sighting = ready) -> str:
        middle = prior.mean + sigmas * prior.deviation
        states = having(state, ln_depth=[middle + 0.3, middle - 0.1])
        return told_of(sight, states, 0.25, 0.75)

    assert deep(1.9) == ""
    # Of 0.08 mm, spread by a factor of exp(1.1): 0.08 exp(2.2 + 0.11) is 0.8 mm.
    assert "unless the near edge lies 0.8 mm below the face: check both" in deep(2.1)
    open_wall = exact(LEANING, structs.replace(givens_of(LEANING, far=True), wall=None))[0]
    assert "near edge" not in deep(2.1, open_wall)
    # Of a wall of 1.8 mm 1.1 mm is more than can be chamfered: 0.08 exp(1.1 x 2.4) is 1.1 mm.
    found = ready._replace(near=structs.replace(ready.near, placed="found"))
    assert deep(2.2, found) != ""  # a quarter of the states is deeper, the rest is not
    assert deep(2.9) != ""  # by hand
    with pytest.raises(CannotMeasure, match="below the face") as refused:
        deep(2.9, found)
    assert (
        refused.value.advice
        == "check the wall, the near diameter and the bore, or mark the near rim by hand"
    )


def test_a_camera_held_where_none_is_held_is_told() -> None:
    ready, state = exact(LEANING, givens_of(LEANING, far=True))
    for times, told in ((0.1, True), (0.5, False), (3.0, False), (30.0, True)):
        # The same picture of a larger hole is one from as much farther away.
        moved = having(state, ln_size=float(state[0, INDEX["ln_size"]]) - np.log(times))
        assert ("by the near diameter typed the camera was" in told_of(ready, moved)) is told
    blind = exact(LEANING, givens_of(LEANING, far=True))[0]
    blind = blind._replace(layer=structs.replace(blind.layer, focal_35mm=None))
    assert "cm from the hole" not in told_of(blind, moved)


@pytest.mark.parametrize("inch", [False, True])
@pytest.mark.parametrize(
    ("ratio", "conflict"), [(0.885, True), (0.94, False), (1.06, False), (1.115, True)]
)
def test_two_scales_are_compared_by_the_areas_in_the_picture(
    ratio: float, conflict: bool, inch: bool
) -> None:
    # An oblong in the picture, turned, at 40 ratio px per mm; the hole's at 40: both by area.
    turn = np.radians(33.0)
    sides = 10 * 40 * ratio * np.array([1.25, 0.8])
    oblong = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * sides
    corners = 200 + oblong @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    sides_mm = (Quantity(10 / 25.4, "in"), Quantity(8 / 25.4, "in")) if inch else (mm(10), mm(8))
    full = layer_of(LEANING)
    marker = Marker(tuple(map(tuple, corners.tolist())), sides_mm[0], 3)
    layer = structs.replace(full, marks=(*full.marks, marker))
    givens = structs.replace(givens_of(LEANING, far=True), near_diameter=sides_mm[1])
    ready, state = exact(LEANING, givens, layer)
    ready = ready._replace(near_ellipse=Ellipse(800, 600, 4 * 40 * 1.25, 4 * 40 * 0.8, 10))
    words = f"two scales, 40 and {40 * ratio:.3g} px per mm: check both lengths"
    assert (words in told_of(ready, state)) is conflict
    mirrored = structs.replace(marker, corners_px=marker.corners_px[::-1])
    assert (words in told_of(ready._replace(marker=mirrored), state)) is conflict
    untyped = ready._replace(givens=structs.replace(givens, near_diameter=None))
    assert "two scales" not in told_of(untyped, state)


@pytest.mark.parametrize(("ratio", "refused"), [(0.77, True), (0.79, False), (1.3, True)])
def test_two_scales_that_nothing_lying_there_can_have_are_refused(
    ratio: float, refused: bool
) -> None:
    full = layer_of(LEANING)
    corners = 300 + np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * 400 * ratio
    marker = Marker(tuple(map(tuple, corners.tolist())), mm(10), 3)
    layer = structs.replace(full, marks=(*full.marks, marker))
    givens = structs.replace(givens_of(LEANING, far=True), near_diameter=mm(8))
    ready, state = exact(LEANING, givens, layer)
    ready = ready._replace(near_ellipse=Ellipse(800, 600, 160, 160, 0))
    if refused:
        with pytest.raises(CannotMeasure, match="two scales"):
            told_of(ready, state)
    else:
        assert "two scales" in told_of(ready, state)


def test_what_nobody_gave_is_told_and_what_was_given_is_not() -> None:
    full = layer_of(LEANING)
    bare = structs.replace(full, focal_35mm=None)
    every = givens_of(LEANING, far=True)

    def assumed(givens: Givens, layer: Layer = full) -> list[str]:
        return [line.split(":")[0] for line in doubts.assumed(exact(LEANING, givens, layer)[0])]

    assert assumed(every) == []
    wall, bore, focal = (
        "wall thickness not given", "bore not given", "focal length not known",
    )  # fmt: skip
    assert assumed(structs.replace(every, wall=None)) == [wall]
    assert assumed(structs.replace(every, bore_diameter=None)) == [bore]
    assert assumed(structs.replace(every, bore_diameter=None, flat=True)) == []
    assert assumed(every, bare) == [focal]
    assert assumed(Givens(), bare) == [wall, bore, focal]


def test_a_lens_profile_is_told_with_its_doubt_and_its_reach() -> None:
    ready, _ = exact(LEANING, givens_of(LEANING, far=True))
    bent = LensProfile(
        4000, 4000, 769.5, 639.5, -0.8, 0, 0, 0, 0, 1600, 1200, 0.1, u_focal_px=360.0
    )
    bare = structs.replace(ready.layer, focal_35mm=None)
    (measured,) = doubts.assumed(ready._replace(lens=bent, layer=bare))
    assert "taken as known to 9.0 %" in measured
    # A near rim with one straight place far out, 800 px right of the axis and 600 down: bent, by
    # the radial term alone, it lies at r (1 + k1 (r / f)^2) of r = 1000 px, f = 4000 px.
    far_out = structs.replace(ready.near, points_px=((769.5, 640.0), (1569.5, 1239.5)))
    at = 1 - 0.8 * 0.25**2
    for reach, beyond in ((at - 0.005, True), (at + 0.005, False)):
        lens = structs.replace(bent, reach=reach)
        lines = doubts.assumed(ready._replace(lens=lens, near=far_out))
        assert any("farther out than the lens profile's photos showed" in x for x in lines) is (
            beyond
        )
