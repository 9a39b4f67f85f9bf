import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from annotate.drawings.overlay import CASING, FAR, NEAR, Box, crop_box, to_svg, whole_box
from annotate.marks import (
    Angle,
    Area,
    Chessboard,
    Diameter,
    Distance,
    Ellipse,
    KnownCircle,
    KnownDistance,
    Layer,
    Marker,
    Note,
    Point,
    Rim,
)
from annotate.quantity import Quantity

SVG = "{http://www.w3.org/2000/svg}"
LENGTH = Quantity(8.0, "mm")
CIRCLE = tuple((50.0 + 9 * np.cos(t), 50.0 + 9 * np.sin(t)) for t in range(6))
EVERY_KIND = (
    Rim("near", CIRCLE, 0.5),
    Rim("far", CIRCLE, 0.5),
    Rim("back", CIRCLE, 0.5),
    KnownDistance(Point(10, 10), Point(60, 20), LENGTH),
    KnownCircle(CIRCLE, LENGTH),
    Marker(((10, 10), (20, 10), (20, 20), (10, 20)), LENGTH, 4),
    Chessboard(tuple((5.0 * k, 7.0) for k in range(4)), 2, 2, LENGTH),
    Distance(Point(30, 30), Point(80, 90)),
    Diameter(CIRCLE),
    Angle(Point(1, 1), Point(20, 1), Point(1, 20)),
    Area(((0, 0), (50, 0), (50, 40))),
    Note(Point(70, 15), "burr"),
)
NEAR_RIM, FAR_RIM = Ellipse(400, 300, 120, 100, 20), Ellipse(330, 320, 90, 80, 20)


def tree(*args: object, **kwargs: object) -> ET.Element:
    document = to_svg(*args, **kwargs)  # type: ignore[arg-type] # passed on
    return ET.fromstring(document)  # noqa: S314 - our own document


def lines(root: ET.Element, colour: str) -> list[ET.Element]:
    return [e for e in root.iter() if e.get("stroke") == colour]


def places(element: ET.Element) -> np.ndarray:
    return np.array(
        [[float(v) for v in pair.split(",")] for pair in element.get("points", "").split()]
    )


def test_every_kind_of_mark_is_drawn_as_valid_xml() -> None:
    empty = len(list(tree(Layer(200, 100)).iter()))
    for mark in EVERY_KIND:
        root = tree(Layer(200, 100, (mark,)))
        assert root.tag == f"{SVG}svg"
        assert len(list(root.iter())) > empty


def test_coordinates_are_counted_from_the_pictures_corner() -> None:
    root = tree(Layer(200, 100, (Distance(Point(0, 0), Point(10, 4)),)), numbered=False)
    line = next(e for e in lines(root, NEAR) if e.get("points"))
    # The centre of the first pixel is half a pixel inside the picture's corner.
    assert places(line).tolist() == [[0.5, 0.5], [10.5, 4.5]]
    assert root.get("viewBox") == "0 0 200 100"


def test_a_box_moves_the_origin_to_its_corner() -> None:
    layer = Layer(200, 100, (Distance(Point(60, 40), Point(70, 44)),))
    root = tree(layer, box=Box(50, 30, 40, 30), numbered=False)
    line = next(e for e in lines(root, NEAR) if e.get("points"))
    assert places(line).tolist() == [[10.5, 10.5], [20.5, 14.5]]
    assert root.get("viewBox") == "0 0 40 30"


def test_every_line_lies_on_a_wider_black_casing() -> None:
    root = tree(Layer(800, 600, EVERY_KIND), near=NEAR_RIM, far=FAR_RIM)
    drawn = [e for e in root.iter() if e.get("stroke") is not None]
    assert len(drawn) % 2 == 0
    for casing, line in zip(drawn[::2], drawn[1::2], strict=True):
        assert casing.get("stroke") == CASING
        assert line.get("stroke") in (NEAR, FAR)
        shape = "d" if line.tag == f"{SVG}path" else "points"
        assert casing.get(shape) == line.get(shape)
        assert float(casing.get("stroke-width", 0)) > float(line.get("stroke-width", 0)) + 2
        assert casing.get("stroke-dasharray") is None


def test_the_near_rim_is_solid_and_the_far_rim_dashed_only_where_hidden() -> None:
    root = tree(Layer(800, 600), near=NEAR_RIM, far=FAR_RIM)
    near = [e for e in lines(root, NEAR) if e.get("points")]
    assert [e.get("stroke-dasharray") for e in near] == [None]
    assert near[0].tag == f"{SVG}polygon"
    far = [e for e in lines(root, FAR) if e.get("points")]
    dashed = [e for e in far if e.get("stroke-dasharray")]
    seen = [e for e in far if not e.get("stroke-dasharray")]
    assert len(dashed) == len(seen) == 1
    # Hidden is where the near hole does not reach: left, in this picture.
    assert places(dashed[0])[:, 0].mean() < places(seen[0])[:, 0].mean()
    # No gap: each run begins where the other ends, and together they close.
    assert places(dashed[0])[0].tolist() == places(seen[0])[-1].tolist()
    assert places(dashed[0])[-1].tolist() == places(seen[0])[0].tolist()


def test_a_far_rim_wholly_inside_is_one_closed_solid_line() -> None:
    inner = Ellipse(400, 300, 50, 45, 0)
    root = tree(Layer(800, 600), near=NEAR_RIM, far=inner)
    far = [e for e in lines(root, FAR) if e.get("points")]
    assert [e.get("stroke-dasharray") for e in far] == [None]
    assert places(far[0])[0].tolist() == places(far[0])[-1].tolist()
    alone = tree(Layer(800, 600), far=inner)
    assert [e.get("stroke-dasharray") for e in lines(alone, FAR) if e.get("points")] == [None]
    apart = tree(Layer(800, 600), near=NEAR_RIM, far=Ellipse(700, 500, 50, 45, 0))
    assert all(e.get("stroke-dasharray") for e in lines(apart, FAR) if e.get("points"))


def test_centres_are_marked_and_placed_points_only_without_a_fitted_rim() -> None:
    layer = Layer(800, 600, (Rim("near", CIRCLE, 0.5),))
    fitted, placed = tree(layer, near=NEAR_RIM), tree(layer)
    assert len([e for e in lines(fitted, NEAR) if e.get("d")]) == 1
    assert len([e for e in lines(placed, NEAR) if e.get("d")]) == len(CIRCLE)
    centre = next(e for e in lines(fitted, NEAR) if e.get("d"))
    ends = [float(v) for v in re.findall(r"-?[0-9.]+", centre.get("d", ""))]
    assert_allclose(np.mean(np.array(ends).reshape(-1, 2), axis=0), [400.5, 300.5])


def test_line_widths_are_those_of_the_shown_size() -> None:
    layer = Layer(800, 600)
    plain, small = tree(layer, near=NEAR_RIM), tree(layer, near=NEAR_RIM, shown_width=200)
    widths = [float(lines(root, NEAR)[0].get("stroke-width", 0)) for root in (plain, small)]
    assert_allclose(widths[1], 4 * widths[0])


def test_marks_are_numbered_by_their_place_on_the_layer_and_scales_say_their_length() -> None:
    texts = [e.text for e in tree(Layer(200, 100, EVERY_KIND)).iter(f"{SVG}text")]
    assert "4 scale 8 mm" in texts
    assert "6 scale 8 mm" in texts
    assert "8" in texts
    assert "12 burr" in texts
    assert not list(tree(Layer(200, 100, EVERY_KIND), numbered=False).iter(f"{SVG}text"))


@given(words=st.text(max_size=60))
def test_any_note_makes_a_valid_document(words) -> None:
    root = tree(Layer(200, 100, (Note(Point(5, 5), words),)))
    (text,) = [e.text for e in root.iter(f"{SVG}text")]
    assert text is not None
    assert text.startswith("1 ")
    kept = "".join(c for c in " ".join(words.split()) if c.isprintable())
    assert text == f"1 {kept}"


def test_nothing_in_a_note_becomes_markup() -> None:
    root = tree(Layer(200, 100, (Note(Point(5, 5), '<script href="x">&amp;'),)))
    assert not [e for e in root.iter() if "script" in e.tag]


ellipses = st.builds(
    lambda x, y, a, r, t: Ellipse(x, y, a, a * r, t),
    st.floats(0, 1600), st.floats(0, 1200), st.floats(5, 400), st.floats(0.3, 1), st.floats(0, 179),
)  # fmt: skip


@given(
    rims=st.lists(ellipses, min_size=1, max_size=2),
    width=st.integers(40, 4000),
    high=st.integers(40, 3000),
)
def test_a_crop_stays_in_the_picture_and_is_four_to_three_where_there_is_room(
    rims, width, high
) -> None:
    layer = Layer(width, high)
    box = crop_box(layer, rims)
    assert 0 <= box.left <= width - box.width
    assert 0 <= box.top <= high - box.height
    assert box.width >= 1
    assert box.height >= 1
    if box.width < width and box.height < high:
        assert abs(box.width - box.height * 4 / 3) < 1.4  # whole pixels


def test_a_crop_holds_both_rims_with_room_round_them() -> None:
    box = crop_box(Layer(1600, 1200), [NEAR_RIM, FAR_RIM], margin=0.4)
    assert box.left < 330 - 90 - 10
    assert box.left + box.width > 400 + 120 + 10
    assert box.top < 200
    assert box.top + box.height > 400
    assert box.width < 700
    wider = crop_box(Layer(1600, 1200), [NEAR_RIM, FAR_RIM], width_px=900)
    assert wider.width == 900


def test_without_fitted_rims_the_placed_points_decide_and_else_the_whole_picture() -> None:
    layer = Layer(1600, 1200, (Rim("near", CIRCLE, 0.5),))
    box = crop_box(layer)
    assert box.left + box.width / 2 == pytest.approx(50.5, abs=4)
    assert box.width < 60
    assert crop_box(Layer(1600, 1200)) == whole_box(Layer(1600, 1200)) == Box(0, 0, 1600, 1200)
