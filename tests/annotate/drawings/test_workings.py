"""The drawing of how a coverage came about: what it shows is what was computed."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from msgspec import structs

from annotate.coverage import Sampled, sampled, told
from annotate.drawings.workings import branches, enlarged, misfits, to_svg
from annotate.marks import FarOutline, Layer, Rim
from annotate.routes.accepted import measure
from annotate.routes.outlined import without_outline
from tests.annotate.drilled import Drilled
from tests.annotate.test_coverage import givens_of, layer_of

LEANING = Drilled(
    tilt_deg=12.0, tilt_towards_deg=90.0, offset=(2.0, 0.0), r_far=5.0, bore_radius=None
)


def drawn(layer: Layer) -> Sampled:
    return sampled(layer, givens_of(LEANING), trials=3000)


@pytest.fixture(scope="module")
def blind() -> Sampled:
    """Without the near hole's back edge both ways to lean fit."""
    return drawn(layer_of(LEANING, sigma=0.3))


@pytest.fixture(scope="module")
def seeing() -> Sampled:
    return drawn(layer_of(LEANING, back=24))


def test_both_ways_to_lean_are_shown_with_their_odds(blind: Sampled) -> None:
    found = branches(blind)
    assert len(found) == 2
    assert min(each.share for each in found) >= 0.025
    assert sum(each.share for each in found) == pytest.approx(1)
    first, second = (blind.ready.state(each.q[None])[0, 3:5] for each in found)
    assert float(np.dot(first, second)) < 0  # tilt_x, tilt_y: they lean opposite ways


@pytest.mark.parametrize("tilt", [1.0, 4.0, 12.0, 20.0])
def test_words_and_drawing_say_alike_whether_both_ways_count(tilt: float) -> None:
    said = []
    for sigma, back in ((0.1, 0), (0.5, 0), (3.0, 0), (0.5, 24)):
        scene = replace(LEANING, tilt_deg=tilt)
        layer = layer_of(scene, sigma=sigma, near=10, far=7, back=back)
        outline = FarOutline(tuple(map(tuple, scene.rim("far", np.linspace(0, 6, 12)).tolist())))
        near_only = structs.replace(layer, marks=(*layer.marks[:1], *layer.marks[2:]))
        for marked in (layer, structs.replace(near_only, marks=(*near_only.marks, outline))):
            found = measure(marked, givens_of(scene), seed=0, trials=1500)
            seen = sampled(without_outline(marked), givens_of(scene), trials=1500)
            told_so = any("both ways are counted" in each for each in found.warnings)
            svg, _ = to_svg(seen, found)
            assert told_so == (len(branches(seen)) == 2) == ("may lean both ways" in texts(svg))
            said.append(told_so)
    assert set(said) == {True, False}


def test_a_back_edge_leaves_one_way(seeing: Sampled) -> None:
    (only,) = branches(seeing)
    assert only.share == pytest.approx(1)


def test_a_point_moved_outwards_lies_off_by_as_much(seeing: Sampled) -> None:
    layer = layer_of(LEANING, back=24)
    near = layer.rim("near")
    assert isinstance(near, Rim)
    points = near.array_px()
    middle = points.mean(axis=0)
    out = (points[3] - middle) / np.linalg.norm(points[3] - middle)
    points[3] += 6 * out
    moved = tuple(
        structs.replace(mark, points_px=tuple(map(tuple, points.tolist())))
        if mark is near
        else mark
        for mark in layer.marks
    )
    found = misfits(drawn(structs.replace(layer, marks=moved)))
    assert [each.which for each in found] == ["near", "far", "back"]
    (near_off, far_off, _) = found
    # The rim follows it a little: five unknowns of an ellipse, 24 points.
    assert near_off.off_px[3] == pytest.approx(6 * (1 - 5 / 24), abs=0.5)
    assert near_off.out[3] == pytest.approx(out, abs=0.1)
    assert near_off.strays.tolist() == [k == 3 for k in range(24)]
    assert not far_off.strays.any()
    assert np.abs(misfits(seeing)[0].off_px).max() < 1.0


def texts(svg: str) -> str:
    root = ET.fromstring(svg)  # noqa: S314 - our own
    return " / ".join(each.text or "" for each in root.iter() if each.tag.endswith("text"))


def test_the_drawing_says_what_it_shows(blind: Sampled, seeing: Sampled) -> None:
    svg, box = to_svg(blind, told(blind), picture="data:image/png;base64,AAAA", width=600)
    words = texts(svg)
    assert f"{enlarged(blind)} times enlarged" in words
    assert "the camera may lean both ways (best fit drawn, other dotted)" in words
    assert re.search(r"covered [\d.]+ % \(95 %: [\d.]+ to [\d.]+ %\)", words)
    assert 'href="data:image/png;base64,AAAA"' in svg
    assert f'viewBox="0 0 {box.width} ' in svg
    assert 'width="600"' in svg
    # The far rim and the back edge of the other way to lean are dotted: two more lines.
    one, _ = to_svg(seeing, told(seeing))
    dotted = re.compile(r'stroke-dasharray="([\d.]+) ([\d.]+)"')
    short = [sum(float(a) < float(b) for a, b in dotted.findall(each)) for each in (svg, one)]
    assert short == [2, 0]
    assert "only one way to lean fits" in texts(one)
    assert "<image" not in one


@pytest.mark.parametrize("by_px", [2.0, -2.0])
def test_a_rim_that_lies_beside_its_points_is_said_to(by_px: float, seeing: Sampled) -> None:
    # The back edge and the typed diameter and wall hold the near rim where it is.
    layer = layer_of(LEANING, back=60)
    near = layer.rim("near")
    assert isinstance(near, Rim)
    out = near.array_px() - near.array_px().mean(axis=0)
    out /= np.linalg.norm(out, axis=1)[:, None]
    points = tuple(map(tuple, (near.array_px() + by_px * out).tolist()))
    moved = structs.replace(near, points_px=points, placed="found")
    marks = tuple(moved if mark is near else mark for mark in layer.marks)
    shown = drawn(structs.replace(layer, marks=marks))
    (shift, *_) = (each.shift_px for each in misfits(shown))
    assert shift == pytest.approx(by_px, abs=0.4)
    where = "outside" if by_px > 0 else "inside"
    words = texts(to_svg(shown, told(shown))[0])
    assert f"the near rim's points lie {abs(shift):.1f} px {where} it together" in words
    assert "together" not in texts(to_svg(seeing, told(seeing))[0])


def test_a_row_too_long_for_the_page_is_broken(seeing: Sampled) -> None:
    said = " ".join(["this photo and another of the same hole"] * 4)
    svg, _ = to_svg(seeing, told(seeing), width=600, beside=(said,))
    rows = texts(svg).split(" / ")
    assert max(map(len, rows)) <= 86
    assert texts(svg).replace(" / ", " ").endswith(said)


def test_whiskers_are_as_long_as_the_factor_says(seeing: Sampled) -> None:
    svg, box = to_svg(seeing, told(seeing))
    factor = enlarged(seeing)
    lines = re.findall(
        r'<polyline points="([-\d.]+),([-\d.]+) ([-\d.]+),([-\d.]+)" stroke="#0', svg
    )
    assert len(lines) == sum(len(each.points) for each in misfits(seeing))
    long = [np.hypot(float(c) - float(a), float(d) - float(b)) for a, b, c, d in lines]
    expected = np.concatenate([np.abs(each.off_px) for each in misfits(seeing)]) * factor
    assert np.allclose(sorted(long), sorted(expected), atol=0.02)
    assert max(long) < 0.5 * box.width


def test_an_outline_that_was_drawn_is_a_closed_line(seeing: Sampled) -> None:
    outline = FarOutline(((700.0, 500.0), (900.0, 500.0), (800.0, 700.0)))
    with_it, _ = to_svg(seeing, told(seeing), outline=outline)
    without, _ = to_svg(seeing, told(seeing))
    assert with_it.count("<polygon") == without.count("<polygon") + 2  # on its casing
