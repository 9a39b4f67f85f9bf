"""What is drawn of a limit: in the block, true to the numbers, and no text on another."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.quantity import Quantity
from capture.desk.limit.axis import APART_PX
from capture.desk.limit.facts import Facts
from capture.desk.limit.measured import facts_of
from capture.desk.limit.places import AXIS_Y, BAND_TOP, BLADE_TOP, SECOND_Y
from capture.desk.limit.scale import Drawn, drawn
from tests.capture.desk.limit.made import check, covered, limit, wide

# One-sided 95 % of a normal distribution, and two-sided (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
ONE_SIDED, TWO_SIDED = 1.644854, 1.959964
WIDTHS = st.sampled_from([672.0, 928.0, 1456.0])
SIZES = st.floats(-1e6, 1e6).filter(lambda x: x == 0 or abs(x) > 1e-6)


@st.composite
def facts(draw) -> Facts:
    """Facts of a random check: one wall or two, near or far, exact or doubtful."""
    middle = draw(SIZES)
    scale = draw(st.floats(1e-6, 1e3))
    sides = draw(st.sampled_from(["least", "most", "both"]))
    low = middle if sides != "most" else None
    high = middle + scale if sides != "least" else None
    value = middle + scale * draw(st.floats(-3, 4) | st.floats(-1e4, 1e4))
    u = draw(st.just(0.0) | st.floats(1e-6, 2.0)) * scale
    kind = draw(st.sampled_from(["length", "depth", "torque"]))
    unit = "N.m" if kind == "torque" else draw(st.sampled_from(["mm", "in"]))
    wear = draw(st.none() | st.floats(-1, 3))
    more = {} if wear is None else {"wear_limit": limit(None, middle + scale * wear, unit)}
    rule = draw(st.sampled_from(["guarded", "simple"]))
    made = check(
        kind, Quantity(value, unit, u), unit, limit=limit(low, high, unit, rule=rule), **more
    )
    found = facts_of(made)
    assert found is not None
    return found


@settings(max_examples=100, deadline=None)
@given(facts=facts(), width=WIDTHS)
def test_everything_lies_in_the_block_and_no_text_on_another(facts, width) -> None:
    line = drawn(facts, width, wide)
    for text in line.texts:
        assert text.box.x >= -1e-6
        # A value that is wider than the block by itself can't be helped.
        assert text.box.right <= width + 1e-6 or text.box.width > width
        assert text.box.y >= 0
        assert text.box.bottom <= SECOND_Y + 18
    for one, other in combinations(line.texts, 2):
        assert not one.box.meets(other.box), (one, other)
    for hatch in line.hatches:
        assert 0 <= hatch.x <= hatch.right <= width
    for x in (*(face.x for face in line.faces), *(x for x, _ in line.ticks), *(line.whisker or ())):
        assert 0 <= x <= width
    for leader in line.leaders:
        assert all(0 <= x <= width and 0 <= y <= AXIS_Y for x, y in leader)


@settings(max_examples=100, deadline=None)
@given(facts=facts(), width=WIDTHS)
def test_no_text_of_the_band_lies_on_stem_blade_whisker_or_face(facts, width) -> None:
    line = drawn(facts, width, wide)
    in_band = [t.box for t in line.texts if t.box.y >= BAND_TOP and t.box.bottom <= AXIS_Y]
    upright = [face.x for face in line.faces] + ([line.stem] if line.stem is not None else [])
    for box in in_band:
        assert not any(box.x < x < box.right for x in upright)
        assert not any(box.meets(blade.box) for blade in line.blades if blade.box.width)
        if line.whisker is not None:
            low, high = line.whisker
            assert high <= box.x or low >= box.right
        for start, end in line.arrows:
            assert max(start, end) <= box.x + 1e-6 or min(start, end) >= box.right - 1e-6


@settings(max_examples=100, deadline=None)
@given(facts=facts(), width=WIDTHS)
def test_a_blade_runs_from_the_value_to_its_bound_cut_at_the_walls(facts, width) -> None:
    line = drawn(facts, width, wide)
    if facts.simple:
        assert line.blades == ()
        return
    for wall, bound in facts.bounds:
        if bound == facts.value:
            continue
        tips = [b for b in line.blades if b.tip == ("left" if wall.least else "right")]
        assert len(tips) == 1
        end = tips[0].box.x if wall.least else tips[0].box.right
        assert end == pytest.approx(line.axis.at(bound), abs=1e-6)
    if line.blades:
        starts = {b.box.x for b in line.blades} | {b.box.right for b in line.blades}
        assert any(x == pytest.approx(line.stem, abs=1e-6) for x in starts)
    for blade in line.blades:
        middle = blade.box.x + blade.box.width / 2
        walls = [(line.axis.at(w.value), w.least) for w in facts.deciding]
        beyond = any(middle < x - 1e-3 if least else middle > x + 1e-3 for x, least in walls)
        clear = all(middle > x + 1e-3 if least else middle < x - 1e-3 for x, least in walls)
        assert not (beyond and not blade.inside)
        assert not (clear and blade.inside)


@settings(max_examples=100, deadline=None)
@given(facts=facts(), width=WIDTHS)
def test_what_finds_no_room_is_told_to_whoever_draws(facts, width) -> None:
    line = drawn(facts, width, wide)
    shown = " | ".join(text.text for text in line.texts)
    for wall in facts.walls:
        placed = any(words in shown for words in wall.words)
        assert placed or wall.words[0] in line.unplaced
    assert facts.said in shown


def line_of(made, width: float = 928.0) -> Drawn:
    facts = facts_of(made)
    assert facts is not None
    return drawn(facts, width, wide)


def test_a_coverage_in_doubt_reaches_into_the_wall() -> None:
    line = line_of(covered(0.376, 0.031))
    assert (line.axis.first, line.axis.last) == (0.0, 100.0)
    assert line.stem == pytest.approx(line.axis.at(37.6))
    clear, inside = line.blades
    assert (clear.inside, inside.inside) == (False, True)
    assert inside.box.x == pytest.approx(line.axis.at(40.0))
    assert inside.box.right == pytest.approx(line.axis.at(37.6 + ONE_SIDED * 3.1), abs=0.01)
    low, high = line.whisker or (0, 0)
    assert low == pytest.approx(line.axis.at(37.6 - TWO_SIDED * 3.1), abs=0.01)
    assert high == pytest.approx(line.axis.at(37.6 + TWO_SIDED * 3.1), abs=0.01)
    (hatch,) = line.hatches
    assert hatch.x == pytest.approx(line.axis.at(40.0))
    assert hatch.right == line.axis.right
    texts = [text.text for text in line.texts]
    assert "could be as much as 43\u00a0%" in texts
    # The leader stands at the bound.
    assert line.leaders[0][0] == (inside.box.right, BLADE_TOP)


def test_a_coverage_shows_covered_and_open_one_above_the_other() -> None:
    line = line_of(covered(0.084, 0.018))
    rows: dict[float, dict[float, str]] = {}
    for text in line.texts:
        if text.size == "caption":
            rows.setdefault(text.box.y, {})[round(text.box.x + text.box.width / 2)] = text.text
    above, below = (rows[y] for y in sorted(rows))
    assert "covered" in above.values()
    assert "open" in below.values()
    at = [round(line.axis.at(share)) for share in (10, 40, 90)]
    assert [above[x] for x in at] == ["10\u00a0%", "40\u00a0%", "90\u00a0%"]
    assert [below[x] for x in at] == ["90\u00a0%", "60\u00a0%", "10\u00a0%"]
    assert any(text.text == "clear by 29\u00a0points" for text in line.texts)
    assert len(line.arrows) == 2


def test_a_narrow_blade_zooms_the_scale_until_it_is_told_apart() -> None:
    line = line_of(covered(0.398, 0.0004))
    assert line.axis.last - line.axis.first < 1
    places = sorted([line.stem or 0, line.blades[0].box.right, line.faces[0].x])
    assert all(b - a >= APART_PX for a, b in pairwise(places))


def test_a_blade_that_no_zoom_would_show_leaves_the_scale_whole() -> None:
    line = line_of(covered(0.05, 0.0001))
    assert (line.axis.first, line.axis.last) == (0.0, 100.0)


def test_no_wall_is_left_off_for_a_longer_blade() -> None:
    line = line_of(check("length", Quantity(1.76, "mm", 0.012), limit=limit(1.2, 2.4)))
    assert len(line.faces) == 2


def test_a_wall_off_a_zoomed_scale_is_still_said() -> None:
    made = check("length", Quantity(58.3993, "mm", 0.0002), limit=limit(58.3, 58.4))
    narrow, broad = line_of(made, 928.0), line_of(made, 2400.0)
    assert len(narrow.faces) == len(broad.faces) == 1
    assert "limit: at least 58.3\u00a0mm" in narrow.unplaced
    texts = [text.text for text in broad.texts]
    assert "limit: at least 58.3\u00a0mm, farther left" in texts


def test_a_value_outside_has_a_pointed_blade_and_how_far() -> None:
    line = line_of(covered(0.62, 0.03), 1456.0)
    (blade,) = line.blades
    assert blade.inside
    assert blade.pointed
    assert any(text.text == "past it by 22\u00a0points" for text in line.texts)
    assert not any("could be" in text.text for text in line.texts)


def test_an_at_least_limit_has_its_wall_on_the_left() -> None:
    line = line_of(check("length", Quantity(0.23, "mm", 0.01), limit=limit(0.2)))
    (hatch,) = line.hatches
    assert hatch.x == line.axis.left
    assert hatch.right == pytest.approx(line.faces[0].x)
    (blade,) = line.blades
    assert blade.tip == "left"
    assert blade.box.x == pytest.approx(line.axis.at(0.23 - ONE_SIDED * 0.01), abs=0.01)
    assert any(text.text == "could be as little as 0.21\u00a0mm" for text in line.texts)


def test_the_limit_that_does_not_decide_is_a_dashed_face_with_its_name() -> None:
    made = check(
        "length", Quantity(0.05, "mm", 0.004), limit=limit(None, 0.06), wear_limit=limit(None, 0.09)
    )
    line = line_of(made)
    assert [face.dashed for face in line.faces] == [False, True]
    assert line.faces[1].x > line.faces[0].x  # inside the hatch
    assert any(text.text.startswith("wear limit") for text in line.texts)
    decides = line_of(
        check("length", Quantity(0.07, "mm", 0.004), limit=limit(None, 0.06),
              wear_limit=limit(None, 0.09), judged_by="wear")
    )  # fmt: skip
    assert any(text.text.startswith("new limit") for text in decides.texts)
    assert [face.dashed for face in decides.faces] == [False, True]
    assert decides.faces[1].x < decides.faces[0].x


def test_what_is_counted_has_whole_ticks_only() -> None:
    line = line_of(check("count", Quantity(7, "count"), "count", limit=limit(8, 8, "count")))
    figures = [t.text for t in line.texts if t.size == "caption"]
    assert figures
    assert all(figure.lstrip("\u2212").isdigit() for figure in figures)


def test_not_measured_shows_scale_and_wall_only() -> None:
    line = line_of(check("length", limit=limit(58.3, 58.4)))
    assert (line.stem, line.blades, line.whisker, line.leaders) == (None, (), None, ())
    assert len(line.faces) == 2
    assert line.axis.shows(58.3)
    assert line.axis.shows(58.4)


@pytest.mark.parametrize("value", [1e-6, 3e5, -4e5])
def test_a_value_far_away_is_on_the_scale(value) -> None:
    line = line_of(
        check("length", Quantity(value, "mm", abs(value) / 100), limit=limit(0.02, 0.06))
    )
    assert line.axis.shows(value)
    assert line.stem == pytest.approx(line.axis.at(value))
