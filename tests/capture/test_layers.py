"""Rims placed on a photo with what is known of the two holes, and found again as they were."""

import numpy as np
import pytest
from msgspec import UNSET
from PIL import Image, ImageChops, ImageDraw

from annotate.errors import CannotMeasure
from annotate.givens import Givens
from annotate.marks import FarUnseen, Layer, Rim
from annotate.quantity import Quantity
from annotate.wall_hint import WallHint
from capture import layers
from capture.intake.kind import PNG
from capture.intake.photo import Photo, read_photo
from store.proving.refinding import moved_marks
from tests.annotate.holes_drawn import Drawn, but
from tests.capture.command import SAMPLES
from tests.capture.samples import HOLES

PICTURE = "bearing-1.jpg"
X, Y = HOLES[PICTURE]["click"]
CLICK = (float(X), float(Y))
NEAR, WALL = Quantity(7.035, "mm", 0.003), Quantity(1.415, "mm", 0.03)


@pytest.fixture(scope="module")
def photo() -> Photo:
    return read_photo(SAMPLES / PICTURE)


def hints(layer: Layer) -> list[object]:
    return [
        mark.wall_hint
        for mark in layer.marks
        if isinstance(mark, Rim | FarUnseen) and mark.placed == "found"
    ]


def test_marks_found_with_a_known_wall_bear_it_and_are_found_again(photo: Photo) -> None:
    assert photo.pixels is not None
    bare = layers.bare_layer(photo, focal_35mm=50.0)
    givens = Givens(near_diameter=NEAR, wall=WALL)
    placed = layers.with_rims(bare, photo, click=CLICK, givens=givens).layer
    _, *behind = hints(placed)
    assert behind
    for hint in behind:
        assert isinstance(hint, WallHint)
        assert hint.radii == pytest.approx(2 * 1.415 / 7.035)
        # 50 mm of a frame whose diagonal is 43.27 mm.
        diagonal = (placed.width_px**2 + placed.height_px**2) ** 0.5
        assert hint.focal_px == pytest.approx(50 / 43.2666 * diagonal, rel=1e-4)
    assert moved_marks(photo.pixels, placed) == []


def test_marks_found_without_a_wall_bear_nothing(photo: Photo) -> None:
    bare = layers.bare_layer(photo)
    placed = layers.with_rims(bare, photo, click=CLICK, givens=Givens(near_diameter=NEAR)).layer
    assert set(hints(placed)) == {UNSET}


def test_a_back_edge_looked_for_behind_points_by_hand_bears_it_too(photo: Photo) -> None:
    assert photo.pixels is not None
    hole = HOLES[PICTURE]
    placed = layers.with_rims(
        layers.bare_layer(photo),
        photo,
        near_points=[tuple(p) for p in hole["near_points"]],
        far_points=[tuple(p) for p in hole["far_points"]],
        givens=Givens(near_diameter=NEAR, wall=WALL),
    ).layer
    back = placed.rim("back")
    assert back is not None
    assert isinstance(back.wall_hint, WallHint)
    assert moved_marks(photo.pixels, placed) == []


def test_what_may_be_the_drillings_end_is_refused_and_not_to_be_marked_as_its_rim() -> None:
    # The near hole's own far edge is moved towards -x, and so is what shows in the dark behind it.
    dark = but(Drawn(), far=(-0.9, 0.1, 1.0), opening=6.0, behind=36.0, in_light=True)
    pixels = np.repeat(dark.picture()[..., None], 3, axis=2)
    photo = Photo("dark.png", b"", "png", pixels)
    x, y = dark.to_px(np.array([-0.6, 0.1]))
    with pytest.raises(CannotMeasure) as refused:
        layers.with_rims(layers.bare_layer(photo), photo, click=(float(x), float(y)))
    assert "other end" in refused.value.reason
    assert "do not mark that edge" in refused.value.advice
    assert "a slot or an oval behind is drawn as an outline" in refused.value.advice


def test_a_far_rim_that_is_no_circle_is_to_be_drawn() -> None:
    """A slot behind a round hole, of which nothing but two straight sides shows."""
    big = Image.new("L", (2400, 1920), 150)
    draw, inside, slot = (ImageDraw.Draw(big), *(Image.new("L", big.size, 0) for _ in range(2)))
    near = (750, 510, 1650, 1410)
    draw.ellipse(near, fill=75)
    ImageDraw.Draw(inside).ellipse(near, fill=255)
    ImageDraw.Draw(slot).rectangle((1080, 0, 1320, 1920), fill=255)
    big.paste(12, (0, 0), ImageChops.multiply(inside, slot))
    grey = np.asarray(big.resize((800, 640), Image.Resampling.BOX), np.float64)
    grey += np.random.default_rng(3).normal(0, 1.5, grey.shape)
    pixels = np.repeat(np.clip(grey, 0, 255).astype(np.uint8)[..., None], 3, axis=2)
    shown = Photo("slot.png", b"", PNG, pixels)
    with pytest.raises(CannotMeasure) as refused:
        layers.with_rims(layers.bare_layer(shown), shown, click=(400.0, 320.0))
    assert "drawn as an outline instead (--far-outline)" in refused.value.advice


def test_a_near_rim_by_hand_bears_the_chamfer_above_it() -> None:
    drawn = Drawn(chamfer=0.12)
    pixels = np.stack([drawn.picture()] * 3, axis=-1)
    shown = Photo("drawn.png", b"", PNG, pixels)
    around = np.linspace(0, 2 * np.pi, 9, endpoint=False)

    def points(x: float, y: float, radius: float) -> list[tuple[float, float]]:
        there = np.stack([x + radius * np.cos(around), y + radius * np.sin(around)], axis=1)
        return [(px, py) for px, py in drawn.to_px(there).tolist()]

    assert drawn.far is not None
    near, far = points(0, 0, 1), points(*drawn.far)
    bare = layers.bare_layer(shown, focal_35mm=50.0)
    givens = Givens(near_diameter=NEAR, wall=WALL)
    for known in (None, givens):
        both = layers.with_rims(bare, shown, near_points=near, far_points=far, givens=known).layer
        rim = both.rim("near")
        assert rim is not None
        assert rim.placed == "hand"
        assert rim.chamfer is not UNSET
        assert rim.chamfer == pytest.approx(0.12, abs=0.02)
        assert (rim.wall_hint is UNSET) is (known is None)
        assert moved_marks(pixels, both) == []
        click = tuple(drawn.to_px(np.array([0.35, 0.3])).tolist())
        one = layers.with_rims(bare, shown, click=click, near_points=near, givens=known).layer
        assert one.rim("near") == rim
