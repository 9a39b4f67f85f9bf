"""The drawing of how a face's lengths came about: what it shows is what was left over."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from annotate.drawings.details import SIDE, enlarged
from annotate.drawings.faces import LEFT_OUT, Labelled, to_svg
from annotate.drawings.pen import FAR, NEAR, Box
from annotate.flat_face.left_over import LeftOver, OnEdge

SVG = "{http://www.w3.org/2000/svg}"
TURNS = np.linspace(0, 2 * np.pi, 24, endpoint=False)
OUT = np.column_stack([np.cos(TURNS), np.sin(TURNS)])
OUTLINE = np.array([[100.0, 100], [220, 100], [220, 220], [100, 220]])


def edge(hole: int, at: tuple[float, float], radius: float, *, drilled: bool = True) -> OnEdge:
    off = 0.1 * np.cos(3 * TURNS)[:, None] * OUT
    points = np.array(at) + radius * OUT + off
    return OnEdge(hole, drilled, points, off, points[:2] + 4.0 if drilled else np.empty((0, 2)))


LEFT = LeftOver(
    OUTLINE, OUTLINE, np.full((4, 2), 0.05),
    (edge(0, (400.0, 300.0), 40.0), edge(1, (600.0, 150.0), 30.0),
     edge(1, (600.0, 150.0), 36.0, drilled=False)),
)  # fmt: skip
HOLES = [
    Labelled(0, (401.0, 301.0), "7.10 mm", 0),
    Labelled(1, (300.0, 40.0), "not known: <dark> & dim", None),
    Labelled(2, (601.0, 151.0), "5.30 mm", 1),
]


def drawn() -> ET.Element:
    return ET.fromstring(to_svg(LEFT, HOLES, (800, 600), lambda _: ""))  # noqa: S314 - our own


def lines(part: ET.Element, colour: str) -> list[np.ndarray]:
    return [
        np.array([list(map(float, pair.split(","))) for pair in each.attrib["points"].split()])
        for each in part.iter()
        if each.tag in {f"{SVG}polyline", f"{SVG}polygon"} and each.attrib["stroke"] == colour
    ]


def test_it_shows_the_face_and_each_measured_hole_by_itself() -> None:
    parts = drawn().findall(f"{SVG}svg")
    assert len(parts) == 4  # the face, the target, holes 0 and 2
    words = ["".join(each.itertext()) for each in drawn().findall(f"{SVG}text")]
    assert words[0].startswith("blue frame: round all places of the target")
    assert "target: 4 places where its black meets its white" in words
    assert any(each.startswith("hole 0  7.10 mm") for each in words)
    assert any(each.startswith("hole 2  5.30 mm") for each in words)
    assert not any("hole 1" in each for each in words)
    assert any(each.startswith("24 points, 2 left out; how far off, ") for each in words)
    numbers = [text.text for text in parts[0].iter(f"{SVG}text")]
    assert numbers == ["0", "1", "2"]


def test_every_point_has_its_whisker_as_long_as_it_is_off_times_the_factor_said() -> None:
    part = drawn().findall(f"{SVG}svg")[2]
    said = next(
        "".join(each.itertext()) for each in drawn().findall(f"{SVG}text")
        if "24 points" in "".join(each.itertext())
    )  # fmt: skip
    match = re.search(r"(\d+) times enlarged", said)
    assert match
    factor = int(match[1])
    whiskers = [each for each in lines(part, FAR) if len(each) == 2]
    assert len(whiskers) == 24
    lengths = [float(np.linalg.norm(end - foot)) for foot, end in whiskers]
    wanted = factor * np.linalg.norm(LEFT.edges[0].off_px, axis=1)
    assert lengths == pytest.approx(wanted.tolist(), abs=0.02)
    assert len(lines(part, LEFT_OUT)) == 2


def test_a_chamfers_edge_is_dashed_and_a_click_without_a_hole_a_cross() -> None:
    face, *_, last = drawn().findall(f"{SVG}svg")
    dashed = [p for p in last.iter(f"{SVG}polygon") if "stroke-dasharray" in p.attrib]
    whole = [p for p in last.iter(f"{SVG}polygon")
             if p.attrib["stroke"] == NEAR and "stroke-dasharray" not in p.attrib]  # fmt: skip
    assert (len(dashed), len(whole)) == (1, 1)
    crosses = [p for p in face.iter(f"{SVG}path") if p.attrib["stroke"] == LEFT_OUT]
    assert len(crosses) == 1


def test_every_part_is_asked_for_once_and_lies_in_the_picture() -> None:
    asked = list[Box]()

    def address(box: Box) -> str:
        asked.append(box)
        return "data:,"

    svg = to_svg(LEFT, HOLES, (800, 600), address)
    assert svg.count("<image ") == len(asked) == 4
    for box in asked:
        assert box.left >= 0
        assert box.top >= 0
        assert box.left + box.width <= 800
        assert box.top + box.height <= 600
    whole = asked[0]
    for x, y in [hole.click for hole in HOLES]:
        assert whole.left <= x <= whole.left + whole.width
        assert whole.top <= y <= whole.top + whole.height


@pytest.mark.parametrize(("off", "factor"), [(0.001, 200), (0.05, 200), (0.5, 20), (30.0, 1)])
def test_what_is_left_over_is_enlarged_by_a_round_number_that_fits(off: float, factor: int) -> None:
    assert enlarged(np.full((9, 2), off / np.sqrt(2)), 0.8 * 380.0 / SIDE) == factor
    assert enlarged(np.empty((0, 2)), 0.8 * 380.0 / SIDE) == 200


def test_what_is_said_is_escaped() -> None:
    holes = [Labelled(0, (401.0, 301.0), "<b> & 7 mm", 0), HOLES[2]]
    assert "&lt;b&gt; &amp; 7 mm" in to_svg(LEFT, holes, (800, 600), lambda _: "")
