"""An outline that two rims make between them is told from one rim: drawings known exactly."""

import numpy as np
import pytest

from annotate import edges
from annotate.edges import NotFound, Rims, find_near, find_rims
from annotate.marks import Point
from annotate.near_edges.one_rim import lies_within, told_by_outline
from annotate.near_edges.track import near_ring
from annotate.pixels.halvings import pyramid
from annotate.pixels.polar import frame_of
from tests.annotate.holes_drawn import Drawn, but

PLAIN = Drawn()
FRAME = frame_of(
    *PLAIN.centre,
    (PLAIN.radius_px * PLAIN.squash, PLAIN.radius_px),
    np.radians(PLAIN.turn_deg),
)


def lens(off: float, radius: float) -> Drawn:
    """Return two holes of which only the opening's own border shows: all else looks like face."""
    far = (0.8 * off, 0.6 * off, radius)
    return but(PLAIN, back=None, ring=150.0, wall=150.0, behind=150.0, far=far)


def click_in(off: float, radius: float) -> Point:
    middle = (off - radius + 1) / 2
    x, y = PLAIN.to_px(np.array([0.8 * middle, 0.6 * middle]))
    return Point(float(x), float(y))


@pytest.mark.parametrize(
    ("off", "radius"),
    [(0.4, 0.8), (0.6, 0.8), (0.8, 0.8), (0.4, 1.0), (0.6, 1.0), (0.8, 1.0), (1.0, 1.0),
     (0.4, 1.2), (0.6, 1.2), (0.8, 1.2), (1.0, 1.2)],
)  # fmt: skip
def test_opening_between_two_rims_is_not_taken_for_one(off: float, radius: float) -> None:
    refusal = find_rims(lens(off, radius).picture(), click_in(off, radius))
    assert isinstance(refusal, NotFound)
    assert refusal.reason == "the outline round the click is not that of one rim"


def test_far_hole_behind_all_of_the_near_one_leaves_one_rim() -> None:
    rims = find_rims(lens(0.1, 1.2).picture(), click_in(0.1, 1.2))
    assert isinstance(rims, Rims)
    off = PLAIN.off_px(rims.near.array_px(), (0.0, 0.0, 1.0))
    assert np.abs(off).max() < 0.5


def on_it(degrees: np.ndarray[tuple[int], np.dtype[np.float64]]) -> np.ndarray:  # type: ignore[type-arg]
    turn = np.radians(degrees)
    return FRAME.to_px(np.stack([np.cos(turn), np.sin(turn)], axis=-1))


ALL_ROUND = np.arange(0.0, 360, 3)


@pytest.mark.parametrize(
    ("kept", "one"),
    [
        (ALL_ROUND, True),
        (np.arange(0.0, 300, 3), True),
        (np.arange(0.0, 260, 3), False),
        (np.r_[0.0:120:3, 160:320:3], True),
        (np.r_[0.0:120:3, 190:290:3], False),
    ],
)
def test_a_rim_must_show_nearly_all_round(kept: np.ndarray, one: bool) -> None:  # type: ignore[type-arg]
    smeared = PLAIN.picture()
    y, x = np.mgrid[: smeared.shape[0], : smeared.shape[1]]
    around = FRAME.to_unit(np.stack([x.ravel(), y.ravel()], axis=-1))
    degrees = np.degrees(np.arctan2(around[:, 1], around[:, 0])) % 360
    off = np.abs((degrees[:, None] - kept + 180) % 360 - 180).min(axis=1)
    band = (off > 3) & (np.abs(np.hypot(around[:, 0], around[:, 1]) - 1) < 0.3)
    smeared[band.reshape(smeared.shape)] = 100
    told = told_by_outline(pyramid(smeared), FRAME, on_it(kept))
    assert told == ("is" if one else "is not")


def test_points_may_lack_where_the_edge_does_not() -> None:
    levels = pyramid(PLAIN.picture())
    for lacking in (np.arange(0.0, 240, 3), np.r_[0.0:100:3, 190:270:3]):
        assert told_by_outline(levels, FRAME, on_it(lacking)) == "is"


@pytest.mark.parametrize(("degrees", "told"), [(30, "is"), (80, "may be"), (180, "is not")])
def test_an_outline_that_leaves_a_rim_on_a_part_of_it_may_be_that_of_one(
    degrees: int, told: str
) -> None:
    fine = np.arange(300) - 149.5
    x, y = np.meshgrid(fine, fine)
    bulge = np.where(np.abs(np.degrees(np.arctan2(y, x))) < degrees / 2, 1.1, 1.0)
    picture = np.where(np.hypot(x, y) < 60 * bulge, 40, 170).astype(np.uint8)
    turn = np.radians(np.arange(0, 360, 3))
    points = 149.5 + 60 * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    frame = frame_of(149.5, 149.5, (60.0, 60.0), 0.0)
    assert told_by_outline(pyramid(picture), frame, points) == told


def test_what_may_be_one_rim_is_if_a_far_rim_shows_well_inside_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    click = click_in(0.4, 1.0)
    shown = PLAIN.picture()
    nothing = but(PLAIN, far=None).picture()
    assert isinstance(find_rims(shown, click), Rims)
    monkeypatch.setattr(edges, "told_by_outline", lambda *_: "may be")
    monkeypatch.setattr(edges, "stacked_ring", lambda *given: near_ring(*given[:2]))
    found = find_rims(shown, click)
    assert isinstance(found, Rims)
    assert found.far is not None
    for refusal in (find_rims(nothing, click), find_near(shown, click)):
        assert isinstance(refusal, NotFound)
        assert refusal.reason == "the outline round the click is not that of one rim"


@pytest.mark.parametrize(
    ("radius", "well"), [(0.8, True), (0.84, True), (0.86, False), (1.1, False)]
)
def test_how_far_inside_a_far_rim_must_lie(radius: float, well: bool) -> None:
    points = FRAME.to_px(FRAME.to_unit(on_it(np.arange(0.0, 120, 3))) * radius)
    assert lies_within(FRAME, points) is well


def bent_picture(bend: float) -> "np.ndarray[tuple[int, int], np.dtype[np.uint8]]":
    """Return a dark hole whose rim leaves a circle by a third harmonic, as a rim on a bore does."""
    fine = (np.arange(1500) + 0.5) / 5 - 0.5
    x, y = np.meshgrid(fine - 150.3, fine - 149.6)
    inside = np.hypot(x, y) < 60 * (1 + bend * np.cos(3 * np.arctan2(y, x)))
    return np.where(inside, 40, 170).reshape(300, 5, 300, 5).mean(axis=(1, 3)).astype(np.uint8)


@pytest.mark.parametrize("bend", [0.0, 0.02, 0.03])
def test_a_rim_on_a_bore_that_leaves_its_ellipse_is_one_rim(bend: float) -> None:
    turn = np.radians(np.arange(0, 360, 3))
    radius = 60 * (1 + bend * np.cos(3 * turn))
    points = np.stack([150.3 + radius * np.cos(turn), 149.6 + radius * np.sin(turn)], axis=-1)
    frame = frame_of(150.3, 149.6, (60.0, 60.0), 0.0)
    assert told_by_outline(pyramid(bent_picture(bend)), frame, points) == "is"


def test_points_bent_where_the_outline_is_not_are_not_one_rim() -> None:
    turn = np.radians(np.arange(0, 360, 3))
    radius = 66 * (1 + 0.05 * np.cos(3 * turn))
    points = np.stack([150.3 + radius * np.cos(turn), 149.6 + radius * np.sin(turn)], axis=-1)
    frame = frame_of(150.3, 149.6, (66.0, 66.0), 0.0)
    assert told_by_outline(pyramid(bent_picture(0.0)), frame, points) != "is"
