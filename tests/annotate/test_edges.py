"""Rims found in drawings whose outlines are known exactly."""

import numpy as np
import pytest
from msgspec import UNSET

from annotate.by_hand import chamfer_above, find_inner
from annotate.edges import NotFound, Rims, find_near, find_rims
from annotate.marks import Point, Rim
from annotate.wall_hint import WallHint
from tests.annotate.holes_drawn import Array, Drawn, but

Circle = tuple[float, float, float]
PLAIN = Drawn(in_light=True)
NEAR = (0.0, 0.0, 1.0)


def click_at(drawn: Drawn, x: float = 0.35, y: float = 0.3) -> Point:
    px = drawn.to_px(np.array([x, y]))
    return Point(float(px[0]), float(px[1]))


def rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def found(drawn: Drawn) -> Rims:
    rims = find_rims(drawn.picture(), click_at(drawn))
    assert isinstance(rims, Rims), rims
    return rims


@pytest.fixture(scope="module")
def plain() -> Rims:
    return found(PLAIN)


def test_near_rim_lies_on_the_drawn_edge(plain: Rims) -> None:
    off = PLAIN.off_px(plain.near.array_px(), NEAR)
    assert len(off) >= 100
    assert rms(off) < 0.25
    assert plain.near.which == "near"
    assert plain.near.placed == "found"
    assert plain.near.seed == click_at(PLAIN)


def test_far_rim_lies_on_the_visible_arc_only(plain: Rims) -> None:
    assert plain.far_state == "seen"
    assert plain.far is not None
    points = plain.far.array_px()
    assert PLAIN.far is not None
    assert rms(PLAIN.off_px(points, PLAIN.far)) < 0.3
    assert np.all(PLAIN.off_px(points, NEAR) < 0)


def test_far_arc_reaches_most_of_the_way(plain: Rims) -> None:
    assert PLAIN.far is not None
    assert plain.far is not None
    x, y, radius = PLAIN.far
    t = 2 * np.pi * np.arange(3600) / 3600
    circle = np.stack([x + radius * np.cos(t), y + radius * np.sin(t)], axis=-1)
    visible = np.hypot(circle[:, 0], circle[:, 1]) < 1
    unit = PLAIN.to_unit(plain.far.array_px()) - (x, y)
    arc = np.ptp(np.unwrap(np.arctan2(unit[:, 1], unit[:, 0])))
    assert arc > 0.8 * visible.mean() * 2 * np.pi


def test_own_far_edge_of_the_near_hole_is_told_from_the_far_rim(plain: Rims) -> None:
    assert plain.back is not None
    assert PLAIN.back is not None
    assert rms(PLAIN.off_px(plain.back.array_px(), PLAIN.back)) < 0.4


@pytest.mark.parametrize("which", ["near", "far"])
def test_stated_uncertainty_is_of_the_size_of_the_error(plain: Rims, which: str) -> None:
    rim = plain.near if which == "near" else plain.far
    assert rim is not None
    ring = NEAR if which == "near" else PLAIN.far
    assert ring is not None
    assert 0.1 * rim.sigma_px < rms(PLAIN.off_px(rim.array_px(), ring)) < 1.5 * rim.sigma_px


def test_drilled_edge_is_found_below_a_chamfer() -> None:
    drawn = but(PLAIN, chamfer=0.07)
    assert rms(drawn.off_px(found(drawn).near.array_px(), NEAR)) < 0.4


def test_opening_lit_from_behind_is_found() -> None:
    drawn = but(PLAIN, opening=252.0, behind=60.0, wall=90.0)
    rims = found(drawn)
    assert rims.far is not None
    assert drawn.far is not None
    assert rms(drawn.off_px(rims.near.array_px(), NEAR)) < 0.5
    assert rms(drawn.off_px(rims.far.array_px(), drawn.far)) < 0.5


def test_small_far_hole_is_seen_all_round() -> None:
    drawn = but(PLAIN, far=(0.15, 0.1, 0.5))
    rims = found(drawn)
    assert rims.far is not None
    assert drawn.far is not None
    assert rms(drawn.off_px(rims.near.array_px(), NEAR)) < 0.3
    assert rms(drawn.off_px(rims.far.array_px(), drawn.far)) < 0.3


@pytest.mark.parametrize("far", [(1.45, 0.6, 0.95), (-0.5, 1.5, 0.9), (0.2, -1.9, 1.25)])
def test_short_arc_is_found_through_grain(far: tuple[float, float, float]) -> None:
    drawn = but(PLAIN, far=far, grain=6.0, width=840, height=680, centre=(406.6, 343.2))
    drawn = but(drawn, radius_px=156.0)
    x, y, radius = far
    way = np.hypot(x, y)
    deep = (way - radius + 1) / 2 / way  # the middle of what is open
    rims = find_rims(drawn.picture(), click_at(drawn, x * deep, y * deep))
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert rms(drawn.off_px(rims.far.array_px(), far)) < 0.6


# A wall and a focal length of which the drawn far edge of the near hole is the end: moved by
# t tan, smaller by t cos r / focal, with cos the squash.
WALL = WallHint(0.14 / np.tan(np.arccos(0.95)), 0.01, 2104.0)


def test_a_far_rim_like_the_end_of_another_wall_is_found_where_the_wall_is_known() -> None:
    like_a_back = but(PLAIN, far=(0.42, 0.0, 0.96), back=None)
    assert found(like_a_back).far is None
    rims = find_rims(like_a_back.picture(), click_at(like_a_back), WALL)
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert like_a_back.far is not None
    assert rms(like_a_back.off_px(rims.far.array_px(), like_a_back.far)) < 0.3
    assert rims.far.wall_hint == WALL


@pytest.mark.parametrize(("times", "state"), [(0.5, "elsewhere"), (1.0, "seen")])
def test_a_wall_that_the_picture_contradicts_is_told(times: float, state: str) -> None:
    typed = WallHint(times * WALL.radii, WALL.u_radii, WALL.focal_px)
    rims = find_rims(PLAIN.picture(), click_at(PLAIN), typed)
    assert isinstance(rims, Rims)
    assert rims.far_state == state
    assert (rims.far is None) is (state == "elsewhere")


def test_of_a_drilling_lit_from_behind_the_rim_is_taken_and_not_the_bright_end() -> None:
    behind = but(PLAIN, far=(0.5, 0.55, 1.1), opening=185.0, end=(0.8, 0.6, 1.0), lit=250.0)
    rims = find_rims(behind.picture(), click_at(behind, 0.35, 0.3), WALL)
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert behind.far is not None
    assert rms(behind.off_px(rims.far.array_px(), behind.far)) < 0.4


@pytest.mark.parametrize(
    ("face", "ring", "wall", "far", "end"),
    [
        (150.0, 138.0, 143.0, (0.45, 0.3, 0.75), (0.7, 0.2, 0.75)),
        (150.0, 140.0, 120.0, (0.4, 0.4, 0.7), (0.7, 0.35, 0.7)),
        (150.0, 120.0, 140.0, (0.4, 0.4, 0.7), (0.7, 0.35, 0.7)),
    ],
)
def test_a_pale_rim_is_found_round_bright_edges_that_show_better(
    face: float, ring: float, wall: float, far: Circle, end: Circle
) -> None:
    pale = but(
        PLAIN, width=700, height=640, centre=(343.3, 311.6), radius_px=110.0, squash=0.97,
        back=(-0.05, 0.0, 0.985), chamfer=0.12, face=face, ring=ring, wall=wall, behind=130.0,
        far=far, opening=215.0, end=end, lit=252.0, grain=2.5,
    )  # fmt: skip
    x, y = pale.to_px(np.array([0.5, 0.3]))
    rims = find_rims(pale.picture(), Point(float(x), float(y)))
    assert isinstance(rims, Rims)
    # Wall and face of nearly one tone: the blur of the edge is what is left.
    assert np.median(np.abs(pale.off_px(rims.near.array_px(), (0.0, 0.0, 1.0)))) < 2.5


def test_a_soft_shadow_is_not_taken_for_the_far_rim() -> None:
    shadow = but(PLAIN, far=None, end=(0.6, 0.5, 0.9), lit=20.0, end_blur=0.07)
    for hint in (None, WALL):
        rims = find_rims(shadow.picture(), click_at(shadow), hint)
        assert isinstance(rims, Rims)
        assert rims.far is None
        assert rims.far_state == "unknown"


def test_a_wall_typed_otherwise_leaves_a_plain_far_rim_where_it_is(plain: Rims) -> None:
    rims = find_rims(PLAIN.picture(), click_at(PLAIN), WALL)
    assert isinstance(rims, Rims)
    assert rims.far is not None
    assert plain.far is not None
    # The near rim is asked with the wall too: it may move by less than anything shows.
    assert np.abs(rims.far.array_px() - plain.far.array_px()).max() < 0.05
    assert np.abs(rims.near.array_px() - plain.near.array_px()).max() < 0.05


def test_through_view_without_a_far_rim_is_open() -> None:
    rims = found(but(PLAIN, far=None, behind=8.0))
    assert rims.far is None
    assert rims.far_state == "open"


def test_material_all_over_is_shut() -> None:
    rims = found(but(PLAIN, far=None, behind=118.0))
    assert rims.far is None
    assert rims.far_state == "shut"


def test_hand_placed_near_rim_serves_as_well() -> None:
    t = np.arange(8) * np.pi / 4
    placed = PLAIN.to_px(np.stack([np.cos(t), np.sin(t)], axis=-1))
    near = Rim("near", tuple((float(x), float(y)) for x, y in placed), 1.0)
    for click in (click_at(PLAIN), None):
        far, _, state = find_inner(PLAIN.picture(), near, click)
        assert state == "seen"
        assert far is not None
        assert PLAIN.far is not None
        assert rms(PLAIN.off_px(far.array_px(), PLAIN.far)) < 0.3


def by_hand(drawn: Drawn, *, grown: float = 1.0, moved: float = 0.0) -> Rim:
    """Return eight points round the drilled edge, each off by half a pixel or so."""
    t = np.arange(8) * np.pi / 4
    off = np.random.default_rng(5).normal(0, 0.5, (8, 2))
    placed = drawn.to_px(grown * np.stack([np.cos(t) + moved, np.sin(t)], axis=-1)) + off
    return Rim("near", tuple((float(x), float(y)) for x, y in placed), 1.0)


@pytest.mark.parametrize("width", [0.06, 0.12, 0.2])
@pytest.mark.parametrize("darker", [1, 2])
def test_of_a_rim_placed_by_hand_the_chamfer_above_is_told(width: float, darker: int) -> None:
    drawn = Drawn(chamfer=width)
    picture = (drawn.picture() // darker).astype(np.uint8)
    told = chamfer_above(picture, by_hand(drawn))
    assert isinstance(told, float)
    assert told == pytest.approx(width, abs=0.02)


def test_no_chamfer_is_told_where_none_is_or_the_hand_is_elsewhere() -> None:
    assert chamfer_above(PLAIN.picture(), by_hand(PLAIN)) is UNSET
    drawn = Drawn(chamfer=0.12)
    # On the chamfer's edge in the face, or in between, or beside: that rim is not the drilled one.
    for wrong in (
        by_hand(drawn, grown=1.12),
        by_hand(drawn, grown=1.06),
        by_hand(drawn, moved=0.1),
    ):
        assert chamfer_above(drawn.picture(), wrong) is UNSET
    flat = np.full((300, 400), 120, np.uint8)
    assert chamfer_above(flat, by_hand(PLAIN)) is UNSET


def test_of_a_large_picture_the_chamfer_is_told_in_radii_too(monkeypatch) -> None:
    drawn = Drawn(chamfer=0.12)
    monkeypatch.setattr("annotate.edges.reduction", lambda _picture: 2)
    told = chamfer_above(drawn.picture(), by_hand(drawn))
    assert isinstance(told, float)
    assert told == pytest.approx(0.12, abs=0.03)


def test_same_picture_gives_the_same_points(plain: Rims) -> None:
    assert found(PLAIN) == plain


def grain_only() -> "np.ndarray[tuple[int, int], np.dtype[np.uint8]]":
    noise = np.random.default_rng(3).normal(120, 20, (300, 400))
    return np.clip(noise, 0, 255).astype(np.uint8)


def test_grain_without_a_hole_is_refused() -> None:
    assert isinstance(find_near(grain_only(), Point(200, 150)), NotFound)


def test_even_grey_is_refused() -> None:
    refusal = find_rims(np.full((240, 320), 90, np.uint8), Point(160, 120))
    assert isinstance(refusal, NotFound)
    assert refusal.reason == "no closed rim stands out round the click"


def test_click_outside_the_picture_is_refused() -> None:
    refusal = find_near(grain_only(), Point(400.0, 20.0))
    assert isinstance(refusal, NotFound)
    assert refusal.reason == "the click is outside the picture"


def test_hole_cut_off_by_the_border_is_refused() -> None:
    drawn = but(PLAIN, centre=(20.0, 171.0))
    assert isinstance(find_near(drawn.picture(), click_at(drawn, 0.6, 0.2)), NotFound)


def matched(one: Rim | None, other: Rim | None, back: object) -> float:
    """Return the mean distance of one rim's points from the other's line, in pixels."""
    assert one is not None
    assert other is not None
    moved = back(one.array_px())  # type: ignore[operator]
    line = other.array_px()
    closed = np.concatenate([line, line[:1]]) if one.which == "near" else line
    a, b = closed[:-1], closed[1:]
    along = np.clip(
        np.sum((moved[:, None] - a) * (b - a), axis=2) / np.sum((b - a) ** 2, axis=1), 0, 1
    )
    gap = moved[:, None] - a - along[..., None] * (b - a)
    return float(np.mean(np.min(np.hypot(gap[..., 0], gap[..., 1]), axis=1)))


@pytest.mark.parametrize(("squash", "found_it"), [(0.65, False), (0.75, True)])
def test_a_rim_seen_from_beyond_45_degrees_is_refused(squash: float, found_it: bool) -> None:
    slanting = but(PLAIN, squash=squash, back=(-0.3, 0.0, 0.97), far=(0.3, 0.4, 0.9))
    rims = find_rims(slanting.picture(), click_at(slanting))
    if found_it:
        assert isinstance(rims, Rims)
    else:
        assert isinstance(rims, NotFound)
        assert "flatter than a round hole looks from 45 degrees" in rims.reason
        assert rims.advice == "look into the hole more squarely"
        assert rims.advice_or_by_hand == (
            "look into the hole more squarely, or place points on its rim by hand"
        )


def test_crop_moves_nothing(plain: Rims) -> None:
    at = click_at(PLAIN)
    cut = find_rims(PLAIN.picture()[30:320, 50:370], Point(at.x_px - 50, at.y_px - 30))
    assert isinstance(cut, Rims)
    for which in ("near", "far"):
        gap = matched(getattr(cut, which), getattr(plain, which), lambda p: p + np.array([50, 30]))
        assert gap < 0.15


@pytest.mark.parametrize("hint", [None, WALL])
@pytest.mark.parametrize("quarter_turns", [1, 2, 3])
def test_quarter_turns_turn_the_rims(
    plain: Rims, quarter_turns: int, hint: WallHint | None
) -> None:
    picture = np.ascontiguousarray(np.rot90(PLAIN.picture(), quarter_turns))
    middle = np.array([PLAIN.width - 1, PLAIN.height - 1]) / 2
    new_middle = np.array([picture.shape[1] - 1, picture.shape[0] - 1]) / 2
    turn = np.linalg.matrix_power(np.array([[0.0, 1.0], [-1.0, 0.0]]), quarter_turns)
    at = np.array([click_at(PLAIN).x_px, click_at(PLAIN).y_px])
    there = turn @ (at - middle) + new_middle
    turned = find_rims(picture, Point(float(there[0]), float(there[1])), hint)
    assert isinstance(turned, Rims)
    for which in ("near", "far"):
        gap = matched(
            getattr(turned, which),
            getattr(plain, which),
            lambda p: (p - new_middle) @ turn + middle,
        )
        assert gap < 0.15


@pytest.mark.parametrize("hint", [None, WALL])
def test_mirror_mirrors_the_rims(plain: Rims, hint: WallHint | None) -> None:
    last = PLAIN.width - 1
    at = click_at(PLAIN)
    picture = np.ascontiguousarray(PLAIN.picture()[:, ::-1])
    mirrored = find_rims(picture, Point(last - at.x_px, at.y_px), hint)
    assert isinstance(mirrored, Rims)
    for which in ("near", "far"):
        gap = matched(
            getattr(mirrored, which),
            getattr(plain, which),
            lambda p: np.stack([last - p[:, 0], p[:, 1]], axis=-1),
        )
        assert gap < 0.15


@pytest.mark.parametrize("factor", [0.5, 2.0, 4.0])
def test_other_sizes_of_the_picture_give_the_same_rims(factor: float) -> None:
    drawn = but(
        PLAIN,
        width=int(PLAIN.width * factor),
        height=int(PLAIN.height * factor),
        centre=tuple((c + 0.5) * factor - 0.5 for c in PLAIN.centre),
        radius_px=PLAIN.radius_px * factor,
        blur_px=max(0.6, PLAIN.blur_px * factor),
    )
    # Light that is blurred so much moves a coded edge: the far rim is moved back, the near is not.
    near = found(but(drawn, in_light=False)).near
    rims = found(drawn)
    assert rims.far is not None
    assert drawn.far is not None
    limit = 0.3 * max(1.0, 0.5 * factor)
    assert rms(drawn.off_px(near.array_px(), NEAR)) < limit
    assert rms(drawn.off_px(rims.far.array_px(), drawn.far)) < limit


def test_colour_and_grey_pictures_agree(plain: Rims) -> None:
    grey = PLAIN.picture()
    rims = find_rims(np.stack([grey, grey, grey], axis=-1), click_at(PLAIN))
    assert isinstance(rims, Rims)
    assert np.abs(rims.near.array_px() - plain.near.array_px()).max() < 0.01


@pytest.mark.parametrize("shape", [(1, 1), (3, 40), (60, 60), (60, 60, 3)])
def test_pictures_too_small_for_a_rim_are_refused(shape: tuple[int, ...]) -> None:
    assert isinstance(find_rims(np.full(shape, 77, np.uint8), Point(0.0, 0.0)), NotFound)


def test_what_no_hand_can_mend_is_not_given_to_one() -> None:
    outside = find_rims(PLAIN.picture(), Point(-9.0, 5.0))
    assert isinstance(outside, NotFound)
    assert outside.advice_or_by_hand == outside.advice == "click inside the opening"


def test_hole_of_few_pixels_is_found() -> None:
    drawn = but(PLAIN, radius_px=18.0, chamfer=0.0, in_light=False)
    near = find_near(drawn.picture(), click_at(drawn))
    assert isinstance(near, Rim)
    assert rms(drawn.off_px(near.array_px(), NEAR)) < 0.4


def test_chamfer_widens_the_stated_uncertainty(plain: Rims) -> None:
    assert found(but(PLAIN, chamfer=0.07)).near.sigma_px > 1.2 * plain.near.sigma_px


def test_chamfer_is_told_and_a_clean_rim_is_not_warned_about(plain: Rims) -> None:
    assert plain.warnings == ()
    assert "chamfer" in found(but(PLAIN, chamfer=0.07)).warnings[0]
