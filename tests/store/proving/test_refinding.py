"""Found marks are looked for again in the photo itself."""

import cv2
import numpy as np
import numpy.typing as npt
import pytest
from msgspec import UNSET
from msgspec.structs import replace

from annotate.by_hand import chamfer_above, find_inner
from annotate.edges import Rims, find_rims
from annotate.marks import FarUnseen, Layer, Mark, Marker, Point, Rim
from annotate.quantity import Quantity
from annotate.target import find_chessboard, find_markers
from annotate.wall_hint import WallHint
from store.proving import refinding
from store.proving.refinding import ALLOWED_PX, found_marks, moved_marks
from tests.annotate.holes_drawn import Drawn

Picture = npt.NDArray[np.uint8]
SIDE = Quantity(12.0, "mm")
SEED = Point(190.0, 165.0)


@pytest.fixture(scope="module")
def picture() -> Picture:
    """A print of a marker and of a chessboard: drawn, softened."""
    page = np.full((320, 720), 200, dtype=np.uint8)
    markers = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    page[60:204, 80:224] = cv2.aruco.generateImageMarker(markers, 7, 144)
    for row in range(5):
        for column in range(6):
            if (row + column) % 2 == 0:
                top, left = 60 + 40 * row, 400 + 40 * column
                page[top : top + 40, left : left + 40] = 20
    return softened(page)


@pytest.fixture(scope="module")
def plate() -> Picture:
    """A hole in a plate with another hole behind it, to one side: drawn, softened."""
    page = np.full((320, 330), 200, dtype=np.uint8)
    cv2.circle(page, (160, 158), 90, 90, -1, cv2.LINE_AA)
    cv2.circle(page, (181, 164), 84, 25, -1, cv2.LINE_AA)
    return softened(page)


def softened(page: Picture) -> Picture:
    page = cv2.GaussianBlur(page, (0, 0), 1.2).astype(np.uint8)
    noise = np.random.default_rng(4).normal(0, 2, page.shape)
    return np.clip(page + noise, 0, 255).astype(np.uint8)


@pytest.fixture(scope="module")
def rims(plate: Picture) -> Rims:
    found = find_rims(plate, SEED)
    assert isinstance(found, Rims)
    return found


def layer_of(picture: Picture, *marks: Mark) -> Layer:
    height, width = picture.shape
    return Layer(width_px=width, height_px=height, marks=marks)


def found_marker(picture: Picture) -> Marker:
    (marker,) = find_markers(picture, SIDE)
    return marker


def test_prints_where_the_photo_shows_them_have_not_moved(picture: Picture) -> None:
    board = find_chessboard(picture, 5, 4, Quantity(4.0, "mm"))
    layer = layer_of(picture, found_marker(picture), board)  # type: ignore[arg-type]
    assert len(found_marks(layer)) == 2
    assert moved_marks(picture, layer) == []


def test_rims_where_the_photo_shows_them_have_not_moved(plate: Picture, rims: Rims) -> None:
    found = [rim for rim in (rims.near, rims.far, rims.back) if rim is not None]
    assert found_marks(layer_of(plate, *found)) == found
    assert moved_marks(plate, layer_of(plate, *found)) == []


def test_a_far_hole_that_was_said_to_look_otherwise_is_told(plate: Picture, rims: Rims) -> None:
    # The drawn far rim is plain to see, so "shut" cannot have been found.
    said = FarUnseen("shut", "found", SEED)
    assert found_marks(layer_of(plate, rims.near, said)) == [rims.near, said]
    assert moved_marks(plate, layer_of(plate, rims.near, said)) == ["far hole"]
    by_hand = FarUnseen("shut")
    assert moved_marks(plate, layer_of(plate, rims.near, by_hand)) == []


@pytest.mark.parametrize("shift_px", [2 * ALLOWED_PX, -5.0])
def test_one_moved_corner_of_a_marker_is_told(picture: Picture, shift_px: float) -> None:
    marker = found_marker(picture)
    (x, y), *others = marker.corners_px
    moved = Marker(corners_px=((x, y + shift_px), *others), side=SIDE, identifier=7)  # type: ignore[arg-type]
    assert moved_marks(picture, layer_of(picture, moved)) == ["marker"]


def test_a_marker_that_is_not_there_is_told(picture: Picture) -> None:
    corners = found_marker(picture).corners_px
    other = Marker(corners_px=corners, side=SIDE, identifier=8)
    assert moved_marks(picture, layer_of(picture, other)) == ["marker"]


def test_a_chessboard_that_is_not_there_or_moved_is_told(picture: Picture) -> None:
    board = find_chessboard(picture, 5, 4, Quantity(4.0, "mm"))
    assert not hasattr(board, "reason")
    bare = np.full_like(picture, 180)
    assert moved_marks(bare, layer_of(picture, board)) == ["chessboard"]  # type: ignore[arg-type]


def test_a_moved_rim_is_told(plate: Picture, rims: Rims) -> None:
    (x, y), *others = rims.near.points_px
    moved = Rim(
        which="near", points_px=((x + 1.0, y), *others), sigma_px=rims.near.sigma_px,
        placed="found", seed=rims.near.seed,
    )  # fmt: skip
    assert moved_marks(plate, layer_of(plate, moved)) == ["near rim"]
    bare = np.full_like(plate, 180)
    assert moved_marks(bare, layer_of(plate, rims.near)) == ["near rim"]


def test_a_chamfer_told_otherwise_is_told() -> None:
    drawn = Drawn(chamfer=0.12)
    plate = drawn.picture()
    x_px, y_px = drawn.to_px(np.array([0.35, 0.3])).tolist()
    found = find_rims(plate, Point(x_px, y_px))
    assert isinstance(found, Rims)
    assert found.near.chamfer == pytest.approx(0.12, abs=0.02)
    assert moved_marks(plate, layer_of(plate, found.near)) == []
    assert found.near.chamfer is not UNSET
    wider = replace(found.near, chamfer=found.near.chamfer + 0.01)
    assert moved_marks(plate, layer_of(plate, wider)) == ["near rim"]
    none = replace(found.near, chamfer=UNSET)
    assert moved_marks(plate, layer_of(plate, none)) == ["near rim"]


def test_a_chamfer_above_a_rim_set_by_hand_is_looked_for_again() -> None:
    drawn = Drawn(chamfer=0.12)
    plate = drawn.picture()
    around = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    places = drawn.to_px(np.stack([np.cos(around), np.sin(around)], axis=1)).tolist()
    bare = Rim("near", tuple((x, y) for x, y in places), 1.0)
    chamfer = chamfer_above(plate, bare)
    assert isinstance(chamfer, float)
    assert moved_marks(plate, layer_of(plate, bare)) == []  # older marks have none
    assert moved_marks(plate, layer_of(plate, replace(bare, chamfer=chamfer))) == []
    wider = replace(bare, chamfer=chamfer + 0.01)
    assert moved_marks(plate, layer_of(plate, wider)) == ["near rim's chamfer"]
    hint = WallHint(0.4, 0.01, 2100.0)
    hinted = replace(bare, chamfer=chamfer_above(plate, bare, hint), wall_hint=hint)
    assert moved_marks(plate, layer_of(plate, hinted)) == []


def test_behind_a_near_rim_set_by_hand_the_far_one_is_looked_for_alone(plate: Picture) -> None:
    around = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    by_hand = Rim(
        which="near",
        points_px=tuple((160 + 90 * float(np.cos(a)), 158 + 90 * float(np.sin(a))) for a in around),
        sigma_px=1.0,
    )
    seed = SEED
    far, back, _ = find_inner(plate, by_hand, seed)
    sought = [rim for rim in (far, back) if rim is not None]
    assert far is not None
    assert moved_marks(plate, layer_of(plate, by_hand, *sought)) == []
    shifted = Rim(
        which="far",
        points_px=tuple((x + 0.5, y) for x, y in far.points_px),
        sigma_px=far.sigma_px, placed="found", seed=seed,
    )  # fmt: skip
    assert moved_marks(plate, layer_of(plate, by_hand, shifted)) == ["far rim"]


def test_marks_found_with_a_known_wall_are_looked_for_with_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hint = WallHint(0.4, 0.01, 2100.0)
    drawn = Drawn()
    plate = drawn.picture()
    x_px, y_px = drawn.to_px(np.array([0.35, 0.3])).tolist()
    seed = Point(x_px, y_px)
    found = find_rims(plate, seed, hint)
    assert isinstance(found, Rims)
    assert found.far is not None
    assert found.far.wall_hint == hint
    asked: list[WallHint | None] = []

    def find(_picture: Picture, _click: Point, known: WallHint | None) -> Rims:
        asked.append(known)
        return found

    monkeypatch.setattr("annotate.edges.find_rims", find)
    assert moved_marks(plate, layer_of(plate, found.near, found.far)) == []
    assert moved_marks(plate, layer_of(plate, found.near, FarUnseen("shut", "found", seed, hint)))
    without = replace(found.near, wall_hint=UNSET)
    assert moved_marks(plate, layer_of(plate, without)) == []
    assert asked == [hint, hint, None]


def test_fewer_points_are_not_the_same_points() -> None:
    points = ((1.0, 2.0), (3.0, 4.0))
    assert refinding._at(points, points)
    assert not refinding._at(points, points[:1])
    assert not refinding._at(points, ())
    assert refinding._at(points, ((1.0 + 0.99 * ALLOWED_PX, 2.0), (3.0, 4.0 - 0.99 * ALLOWED_PX)))
    assert not refinding._at(points, ((1.0, 2.0), (3.0, 4.0 - 1.01 * ALLOWED_PX)))
    assert not refinding._at(points, ((1.0 + 1.01 * ALLOWED_PX, 2.0), (3.0, 4.0)))


def test_a_found_rim_without_its_seed_can_not_be_found_again(picture: Picture) -> None:
    lost = Rim(which="near", points_px=((1.0, 2.0),), sigma_px=0.5, placed="found")
    assert moved_marks(picture, layer_of(picture, lost)) == ["near rim"]


def test_marks_by_hand_are_left_alone(picture: Picture) -> None:
    by_hand = Rim(which="near", points_px=((1.0, 2.0),), sigma_px=0.5)
    assert found_marks(layer_of(picture, by_hand)) == []
    assert moved_marks(picture, layer_of(picture, by_hand)) == []


def test_a_tag_is_looked_for_in_its_own_dictionary() -> None:
    page = np.full((320, 320), 200, dtype=np.uint8)
    tags = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
    page[60:228, 80:248] = cv2.aruco.generateImageMarker(tags, 7, 168)
    picture = softened(page)
    (tag,) = find_markers(picture, SIDE, "5x5_250")
    assert moved_marks(picture, layer_of(picture, tag)) == []
    card = Marker(corners_px=tag.corners_px, side=SIDE, identifier=7)
    assert moved_marks(picture, layer_of(picture, card)) == ["marker"]
