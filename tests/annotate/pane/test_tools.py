import pytest

from annotate.errors import BadMark
from annotate.marks import (
    Angle,
    Area,
    Diameter,
    Distance,
    FarOutline,
    KnownCircle,
    KnownDistance,
    Point,
    Rim,
)
from annotate.pane.tools import FEWEST, FIXED, Draft, Unsized, Wordless, note_of
from annotate.quantity import Quantity

PATH = ((1.0, 1.0), (50.0, 2.0), (60.0, 40.0), (30.0, 70.0), (0.0, 50.0), (-3.0, 20.0))
MM = Quantity(12.0, "mm", 0.01)


def drafted(tool: str, count: int) -> Draft:
    draft = Draft(tool)
    for at in PATH[:count]:
        draft = draft.with_point(at)
    return draft


@pytest.mark.parametrize("tool", sorted(FEWEST))
def test_a_tool_says_how_many_points_it_lacks(tool) -> None:
    fewest = FEWEST[tool]
    for count in range(fewest):
        draft = drafted(tool, count)
        assert draft.missing == fewest - count
        assert not draft.complete
        with pytest.raises(BadMark, match=f"the {tool} needs "):
            draft.made()
    assert drafted(tool, fewest).complete is (tool in FIXED)


@pytest.mark.parametrize(
    ("tool", "count", "mark"),
    [
        ("distance", 2, Distance(Point(1, 1), Point(50, 2))),
        ("angle", 3, Angle(Point(50, 2), Point(1, 1), Point(60, 40))),
        ("area", 4, Area(PATH[:4])),
        ("diameter", 6, Diameter(PATH)),
        ("near rim", 6, Rim("near", PATH, 1.0)),
        ("far rim", 3, Rim("far", PATH[:3], 1.0)),
        ("far outline", 5, FarOutline(PATH[:5], 1.0)),
        ("note", 1, Wordless(Point(1, 1))),
        ("scale", 2, Unsized("scale", PATH[:2])),
        ("circle", 5, Unsized("circle", PATH[:5])),
    ],
)
def test_points_become_the_mark_of_their_tool(tool, count, mark) -> None:
    assert drafted(tool, count).made() == mark


def test_a_scale_gets_its_length() -> None:
    assert Unsized("scale", PATH[:2]).sized(MM) == KnownDistance(Point(1, 1), Point(50, 2), MM)
    assert Unsized("circle", PATH[:5]).sized(MM) == KnownCircle(PATH[:5], MM)


@pytest.mark.parametrize("value", [0.0, -3.0])
def test_a_scale_of_no_length_is_refused(value) -> None:
    with pytest.raises(BadMark, match="more than nothing"):
        Unsized("scale", PATH[:2]).sized(Quantity(value, "mm"))


def test_a_scale_between_a_place_and_itself_is_refused() -> None:
    with pytest.raises(BadMark, match="different points"):
        Draft("scale", ((1.0, 1.0), (1.0, 1.0))).made()


def test_the_same_click_twice_is_one_point() -> None:
    assert Draft("area").with_point((1, 1)).with_point((1, 1)).points_px == ((1, 1),)


def test_a_click_on_the_first_corner_ends_an_area_once_it_has_three() -> None:
    assert not drafted("area", 2).closes_at((1.5, 1.0), 3)
    assert drafted("area", 3).closes_at((1.5, 1.0), 3)
    assert not drafted("area", 3).closes_at((9.0, 1.0), 3)
    assert not drafted("distance", 2).closes_at((1.0, 1.0), 3)


def test_a_note_needs_words() -> None:
    assert note_of(Wordless(Point(1, 2)), " burr ").text == "burr"
    with pytest.raises(BadMark, match="needs words"):
        note_of(Wordless(Point(1, 2)), "  ")


def test_an_opening_needs_three_different_corners() -> None:
    with pytest.raises(BadMark, match="three different corners"):
        Draft("far outline", ((1.0, 1.0), (5.0, 1.0), (1.0, 1.0))).made()
