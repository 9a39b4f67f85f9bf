"""What is seen: lines looked for in the painted picture itself."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

from annotate.marks import Diameter, Distance, Note, Point, Rim
from annotate.pane.canvas import PhotoCanvas
from annotate.pane.shown import Shown
from tests.annotate.pane.rims_drawn import FAR, NEAR, canvas, far_rim, near_rim, on

WHITE, BLUE, GREY = (255, 255, 255), (108, 192, 240), (90, 90, 90)


def painted(pane: PhotoCanvas) -> np.ndarray:
    image = pane.viewport().grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)


def like(colours: np.ndarray, colour: tuple[int, int, int]) -> np.ndarray:
    return np.abs(colours - np.array(colour)).max(axis=-1) < 30


def along(pane: PhotoCanvas, ellipse, turns: np.ndarray, colour) -> np.ndarray:
    """Tell for each place of an outline whether it is painted in a colour."""
    places = [pane.to_viewport(Point(*p)) for p in on(ellipse, turns)]
    image = painted(pane)
    return np.array([like(image[int(p.y()), int(p.x())], colour) for p in places])


CLEAR_OF_NEAR = np.linspace(110, 200, 200)  # parameters of the far rim well off the near one


@pytest.fixture
def pane(qtbot) -> PhotoCanvas:
    return canvas(qtbot, near_rim(), far_rim())


def test_the_near_rim_is_solid_white(pane) -> None:
    assert along(pane, NEAR, np.linspace(0, 359, 300), WHITE).mean() > 0.9


def test_the_far_rim_is_solid_where_it_was_seen_and_dashed_where_not(pane) -> None:
    seen = along(pane, FAR, np.linspace(-95, 45, 200), BLUE)
    hidden = along(pane, FAR, CLEAR_OF_NEAR, BLUE)
    assert seen.mean() > 0.85  # handles and the near rim cross it
    # Dashes of 8 with gaps of 6, softened at both ends.
    assert 0.35 < hidden.mean() < 0.75
    assert np.abs(np.diff(hidden.astype(int))).sum() >= 10


def test_a_casing_runs_under_the_gaps(pane) -> None:
    places = [pane.to_viewport(Point(*p)) for p in on(FAR, CLEAR_OF_NEAR)]
    image = painted(pane)
    middle = np.array([image[int(p.y()), int(p.x())] for p in places])
    gap = middle[~like(middle, BLUE)]
    assert np.median(gap) < 60  # 90 under 65 % of black is 31; dash ends are lighter


def test_lines_keep_their_width_however_large_the_picture_is_shown(qtbot, pane) -> None:
    for zoom in (1.0, 12.0):
        edge = Point(*on(NEAR, np.array([185.0]))[0])
        pane.set_view(zoom, edge)
        at = pane.to_viewport(edge)
        row = painted(pane)[int(at.y())]
        assert 1 <= like(row[int(at.x()) - 30 : int(at.x()) + 30], WHITE).sum() <= 4, zoom


def test_the_covered_part_is_hatched_only_when_shown(pane) -> None:
    covered = (slice(385, 405), slice(280, 300))  # in the far rim, outside the near one
    before = painted(pane)[covered]
    assert like(before, GREY).mean() > 0.95
    pane.set_shown(Shown(near=NEAR, far=FAR))
    hatched = painted(pane)[covered]
    assert 0.05 < like(hatched, WHITE).mean() < 0.4
    pane.set_shown(Shown(near=NEAR, far=FAR, hatched=False))
    assert like(painted(pane)[covered], GREY).mean() > 0.95


def test_nothing_is_hatched_inside_the_near_rim(pane) -> None:
    pane.set_shown(Shown(near=NEAR, far=FAR))
    assert like(painted(pane)[300:330, 370:400], GREY).mean() == 1.0


def test_accepted_rims_have_no_handles(pane) -> None:
    x, y = pane._editing.handles(0)[2]
    out = np.array([x - NEAR.cx, y - NEAR.cy]) / np.hypot(x - NEAR.cx, y - NEAR.cy)
    column, row = (np.array([x, y]) + 7 * out + 0.5).astype(int)
    end = slice(row - 1, row + 2), slice(column - 1, column + 2)
    assert painted(pane)[end].max() > 200
    pane.set_shown(Shown(near=NEAR, far=FAR))
    assert like(painted(pane)[end], GREY).all()


def test_the_rims_are_named_beside_them(pane) -> None:
    plates = (painted(pane) == np.array([11, 12, 13])).all(axis=-1)
    assert plates.sum() > 2000
    pane.set_layer(pane.layer().__class__(width_px=800, height_px=600))
    assert not (painted(pane) == np.array([11, 12, 13])).all(axis=-1).any()


def test_the_ring_is_drawn_on_the_active_handle(qtbot, pane) -> None:
    qtbot.keyClick(pane, Qt.Key.Key_X)
    pane._magnifier.hide()
    at = pane.to_viewport(Point(*pane._editing.active_px))
    turns = np.radians(np.arange(0, 360, 10))
    image = painted(pane)
    ring = [
        like(image[int(at.y() + 14 * np.sin(t)), int(at.x() + 14 * np.cos(t))], BLUE) for t in turns
    ]
    assert np.mean(ring) > 0.7


def test_left_out_points_are_crosses(qtbot) -> None:
    points = list(near_rim(80).points_px)
    points[33] = (650.0, 500.0)  # no handle there, whose tick would lie over the cross
    pane = canvas(qtbot, Rim("near", tuple(points), 0.5, "found"))
    image = painted(pane)
    around = like(image[495:506, 645:656], WHITE)
    # The arms lie on both diagonals; the middles of the sides are free of them.
    assert around[3, 3]
    assert around[3, 7]
    assert not around[5, 0]
    assert not around[0, 5]


def test_what_the_owner_says_of_a_mark_stands_beside_it(qtbot) -> None:
    pane = canvas(qtbot, Distance(Point(100, 100), Point(200, 100)), Note(Point(400, 300), "burr"))
    before = (painted(pane) == np.array([11, 12, 13])).all(axis=-1)
    assert not before[60:120, 200:330].any()
    assert before[260:300, 400:500].any()
    pane.set_label_of(0, "12.0 mm")
    after = (painted(pane) == np.array([11, 12, 13])).all(axis=-1)
    assert after[60:120, 200:330].any()


def test_a_round_size_shows_the_outline_through_its_points(qtbot) -> None:
    pane = canvas(qtbot, Diameter(on(NEAR, np.array([0.0, 60.0, 130.0, 200.0, 290.0]))))
    assert along(pane, NEAR, np.linspace(0, 359, 200), WHITE).mean() > 0.6


def test_the_magnifier_shows_the_picture_five_times_as_large(qtbot, pane) -> None:
    qtbot.keyClick(pane, Qt.Key.Key_X)
    assert pane._magnifier.isVisible()
    assert pane._magnifier.caption.startswith("5×")
    pane.zoom_to(Point(400, 300), 8.0)
    qtbot.keyClick(pane, Qt.Key.Key_Tab)
    assert pane._magnifier.caption.startswith("16×")


def test_the_view_can_close_in_on_the_rims(pane) -> None:
    pane.zoom_to_rims(0.5)
    extent = max(NEAR.semi_major, FAR.semi_major) * 2
    assert pane.zoom() == pytest.approx(0.5 * 600 / extent, rel=0.35)
    assert abs(pane.centre().x_px - 385) < 25
