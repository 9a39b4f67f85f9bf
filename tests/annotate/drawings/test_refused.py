"""The drawing of what was found of a hole that was not measured."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from msgspec.structs import replace

from annotate.drawings.pen import FAR, NEAR
from annotate.drawings.refused import to_svg
from annotate.marks import FarOutline, Layer, Point, Rim
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import layer_of

SCENE = Drilled(tilt_deg=12.0, offset=(2.0, 0.0), r_far=4.4)
CLICK = Point(812.0, 604.0)
WHY = "the far rim cannot be seen; light the hole from the side"


def words(svg: str) -> list[str]:
    root = ET.fromstring(svg)  # noqa: S314 - our own
    return [each.text or "" for each in root.iter() if each.tag.endswith("text")]


def found(layer: Layer) -> Layer:
    marks = (replace(m, placed="found") if isinstance(m, Rim) else m for m in layer.marks)
    return replace(layer, marks=tuple(marks))


def test_a_near_rim_alone_is_its_outline_the_click_and_the_reason() -> None:
    layer = found(layer_of(SCENE, far=0))
    svg, box = to_svg(layer, WHY, click=CLICK, picture="data:image/png;base64,AAAA")
    assert words(svg) == [
        "found or placed: near rim (white); the ring is where it was clicked",
        f"not measured: {WHY}",
    ]
    # The near rim and the click's ring, each with its casing; its plus, and no point.
    assert svg.count("<polygon") == 4
    assert svg.count("<path") == 2
    ring = re.findall(r'<polygon points="([^"]+)"', svg)[-1]
    places = np.array([[float(v) for v in pair.split(",")] for pair in ring.split()])
    assert places.mean(axis=0) == pytest.approx(
        [CLICK.x_px + 0.5 - box.left, CLICK.y_px + 0.5 - box.top], abs=0.1
    )
    assert 'href="data:image/png;base64,AAAA"' in svg
    assert box.width < layer.width_px


def test_points_on_the_inner_rims_are_crosses_few_enough_to_be_told_apart() -> None:
    layer = found(layer_of(SCENE, far=90, back=40))
    svg, _ = to_svg(layer, WHY)
    assert svg.count(f'stroke="{FAR}"') == 30  # every third of 90
    assert len(re.findall(f'<path [^>]+stroke="{NEAR}"', svg)) == 20  # every second of 40
    assert words(svg)[0] == (
        "found or placed: near rim (white), points on the far rim (blue), "
        "points on the near hole's back edge (white)"
    )


def test_a_hand_s_own_points_and_its_drawn_opening_are_shown() -> None:
    layer = layer_of(SCENE, near=9, far=0)
    outline = FarOutline(((700.0, 500.0), (900.0, 500.0), (800.0, 700.0)))
    svg, _ = to_svg(replace(layer, marks=(*layer.marks, outline)), WHY)
    assert len(re.findall(f'<path [^>]+stroke="{NEAR}"', svg)) == 9
    assert svg.count(f'stroke="{FAR}"') == 1


def test_where_nothing_was_found_the_whole_picture_and_the_click_are_shown() -> None:
    svg, box = to_svg(Layer(640, 480), "no closed rim stands out round the click", click=CLICK)
    assert (box.left, box.top, box.width, box.height) == (0, 0, 640, 480)
    assert words(svg)[0] == "nothing was found; the ring is where it was clicked"


def test_a_long_reason_takes_rows_and_the_drawing_room_for_them() -> None:
    tall = []
    for reason in (WHY, " ".join([WHY] * 6)):
        svg, box = to_svg(Layer(640, 480), reason, click=CLICK)
        rows = words(svg)
        assert " ".join(rows[1:]) == f"not measured: {reason}"
        assert max(map(len, rows)) <= 128
        height = float(re.findall(r'viewBox="0 0 640 ([\d.]+)"', svg)[0])
        last = max(float(y) for y in re.findall(r'<text x="[^"]+" y="([\d.]+)"', svg))
        assert box.height < last < height
        tall.append(height)
    assert tall[1] > tall[0]


def test_points_that_are_no_ellipse_are_shown_as_points() -> None:
    line = Rim("near", tuple((100.0 + 10 * n, 200.0) for n in range(8)), 1.0)
    svg, _ = to_svg(Layer(640, 480, (line,)), WHY)
    assert "<polygon" not in svg
    assert len(re.findall(f'<path [^>]+stroke="{NEAR}"', svg)) == 8
