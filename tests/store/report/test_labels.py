from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from store.report.labels import CLEAR_PT, Hole, Label, Layout, laid_out

WIDTH, HEIGHT = 390.0, 260.0
_inside = st.tuples(st.floats(2, WIDTH - 2), st.floats(2, HEIGHT - 2))


def holes_at(points: list[tuple[float, float]]) -> list[Hole]:
    return [Hole(x, y, 31.0, 12.5) for x, y in points]


def area(label: Label) -> "box":
    return box(label.left, label.top, label.left + label.width, label.top + label.height)


def leader(label: Label) -> LineString:
    return LineString([(label.from_x, label.from_y), (label.to_x, label.to_y)])


def check_layout(holes: list[Hole], layout: Layout) -> None:
    """Hold a layout to its promises, by shapely's geometry and not by ours."""
    for hole, label in zip(holes, layout.labels, strict=True):
        assert (label.from_x, label.from_y) == (hole.x, hole.y)
        assert area(label).distance(Point(label.to_x, label.to_y)) < 1e-6
        for other in holes:
            assert area(label).distance(Point(other.x, other.y)) >= CLEAR_PT - 1e-6
    for a, b in combinations(layout.labels, 2):
        assert not area(a).intersects(area(b))
        if (a.from_x, a.from_y) != (b.from_x, b.from_y):
            assert not leader(a).crosses(leader(b))


@given(st.lists(_inside, min_size=1, max_size=30))
def test_labels_hide_no_hole_and_leaders_never_cross(points: list[tuple[float, float]]) -> None:
    holes = holes_at(points)
    check_layout(holes, laid_out(holes, WIDTH, HEIGHT))


def test_a_crowd_without_room_goes_to_the_margins_uncrossed() -> None:
    # 60 holes within 30 points of each other: no label has room there.
    holes = holes_at([(180 + 4 * (n % 8), 120 + 4 * (n // 8)) for n in range(60)])
    layout = laid_out(holes, WIDTH, HEIGHT)
    assert layout.margin > 31
    assert layout.height > HEIGHT
    check_layout(holes, layout)
    for label in layout.labels:
        assert label.left + label.width <= -CLEAR_PT or label.left >= WIDTH + CLEAR_PT
        assert label.left >= -layout.margin - 1e-6
        assert 0 <= label.top <= layout.height - label.height


def test_a_lonely_hole_has_its_label_close_by_on_the_metal() -> None:
    holes = holes_at([(200, 100)])
    layout = laid_out(holes, WIDTH, HEIGHT)
    assert layout.margin == 0
    assert leader(layout.labels[0]).length < 20
