"""What is computed and worded beside the widgets, without them."""

import pytest

from annotate.marks import Layer, Marker, Rim
from annotate.quantity import Quantity
from annotate.result import Coverage, Known, Parallax, Unknown
from capture.demo.job import read_demo_plan
from capture.desk.marking.acceptance import lacking
from capture.desk.marking.framing import hole_view, shows_whole
from capture.desk.marking.known_sizes import plan_words, sizes_of, sizes_words
from capture.desk.marking.sight_words import sight_words
from capture.desk.marking.targets import scale_words, seen_words
from capture.errors import Unfit

NOT = Unknown("not asked here")
PLAN = read_demo_plan()
CHECK = PLAN.characteristic("B3.covered")[1]


def known(value: float, unit: str, spread: float = 0.0) -> Known:
    """A number that lies anywhere within +- spread, evenly."""
    steps = tuple(value + spread * (2 * k / 200 - 1) for k in range(201))
    return Known(Quantity(value, unit, u=spread / 2 or 0.01, quantiles=steps))


def coverage(*, dx: float, dy: float, lean: float, spread: float = 0.05) -> Coverage:
    """A coverage of 30 % that would have been 32 % uncorrected, seen from a side."""
    return Coverage(
        covered=known(0.30, "1"), open=known(0.70, "1"), covered_of_near=NOT, covered_of_far=NOT,
        open_area=NOT, equivalent_diameter=NOT, offset=NOT, offset_clock=NOT, largest_pin=NOT,
        line_of_sight=known(lean, "deg", 1.0), uncorrected=known(0.32, "1"),
        parallax=Parallax(known(dx, "mm", spread), known(dy, "mm", spread), NOT),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("dx", "dy", "hour", "back"),
    [(0.4, 0.0, 3, 9), (0.0, 0.4, 6, 12), (-0.4, 0.0, 9, 3), (0.0, -0.4, 12, 6)],
)
def test_the_camera_goes_back_from_where_the_far_hole_seems_shifted(dx, dy, hour, back) -> None:
    # A camera off to one side sees what lies deeper shifted to that side, by similar triangles:
    # in the plane of the face the sight line is t / (d + t) of the way towards the camera.
    told = sight_words(coverage(dx=dx, dy=dy, lean=8.1))
    assert told.startswith(f"Leaning 8.1° towards {hour} o'clock in the picture")
    assert "shifts the far hole by 0.40 mm, +2.0 points of coverage; corrected." in told
    assert f"Move the camera towards {back} o'clock in the picture" in told


def test_square_on_nothing_is_to_be_moved() -> None:
    told = sight_words(coverage(dx=0.1, dy=0.0, lean=1.4))
    assert "as good as square-on" in told
    assert "Move" not in told


def test_a_lean_to_either_side_gives_no_direction() -> None:
    told = sight_words(coverage(dx=0.1, dy=0.1, lean=9.0, spread=0.5))
    assert "to which side can't be told" in told
    # 0.1 +- 0.475 mm each way (95 % of an even spread): the corner is sqrt(2) x 0.575 mm out.
    assert "by at most 0.81 mm" in told
    assert "o'clock" not in told


def marker(identifier: int) -> Marker:
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    return Marker(corners, Quantity(1.0, "mm"), identifier)


def test_a_target_is_no_scale_by_its_number_alone() -> None:
    assert "once its side is typed" in scale_words((marker(41),), None)
    assert "on our own card 8 mm" in seen_words((marker(41),))
    # The print of another shop: same number, another size.
    told = scale_words((marker(41),), Quantity(10.0, "mm"))
    assert "scale known, 10 mm" in told
    assert "On our own card it is 8 mm: see which is right" in told
    assert scale_words((marker(12),), Quantity(7.0, "mm")).endswith("scale known, 7 mm")
    assert "2 printed targets" in scale_words((marker(12), marker(13)), Quantity(7.0, "mm"))


def test_typed_sizes_outrank_the_plan_and_a_difference_is_told() -> None:
    assert plan_words(CHECK, "wall") == "plan: 2.3 mm"
    plain = sizes_of(CHECK, {}, PLAN.job, flat=False)
    assert sizes_words(plain.givens) == "Sizes: near 7.05 mm, wall 2.3 mm, bore 61.2 mm"
    assert "bearing hole 7.05 mm" in sizes_words(plain.givens, "bearing hole", "block hole")
    assert plain.noted == ()
    typed = sizes_of(CHECK, {"wall": "2.9 mm", "far_diameter": "6.30 mm"}, PLAN.job, flat=False)
    assert (typed.givens.wall.value, typed.givens.far_diameter.value) == (2.9, 6.3)
    (told,) = typed.noted
    assert "2.9 mm was typed and is used; the plan has 2.3 mm" in told
    assert sizes_of(CHECK, {}, PLAN.job, flat=True).givens.bore_diameter is None
    with pytest.raises(Unfit) as wrong:
        sizes_of(CHECK, {"wall": "2,9", "near_diameter": "a lot"}, PLAN.job, flat=False)
    assert set(wrong.value.fields) == {"wall", "near_diameter"}
    with pytest.raises(Unfit) as wrong:
        sizes_of(CHECK, {"bore_diameter": "6 mm"}, PLAN.job, flat=False)
    assert "6 mm is no larger than the near hole of 7.05 mm" in wrong.value.fields["bore_diameter"]


def circle(count: int, which: str = "near") -> Rim:
    from math import cos, pi, sin  # noqa: PLC0415 - beside its use

    points = tuple((500 + 100 * cos(2 * pi * k / count), 400 + 100 * sin(2 * pi * k / count))
                   for k in range(count))  # fmt: skip
    return Rim(which, points, 1.0)


def test_what_is_lacking_is_said_in_order() -> None:
    def layer(*marks: Rim) -> Layer:
        return Layer(width_px=1000, height_px=800, marks=marks)

    assert lacking(layer()) == "the near rim is not placed yet"
    assert lacking(layer(circle(4))) == "the near rim needs 5 points or more"
    assert lacking(layer(circle(8))) == "the far rim is not placed yet"
    assert lacking(layer(circle(8), circle(2, "far"))) == "the far rim needs 3 points or more"
    assert lacking(layer(circle(8), circle(3, "far"))) == ""
    heap = Rim("far", ((500.0, 400.0), (500.1, 400.0), (500.0, 400.2)), 1.0)
    assert "lie on one place" in lacking(layer(circle(8), heap))


def test_a_hole_is_shown_half_as_large_as_the_view() -> None:
    layer = Layer(width_px=1000, height_px=800, marks=(circle(12),))
    centre, zoom = hole_view(layer, 600, 400)
    assert (round(centre.x_px, 6), round(centre.y_px, 6)) == (500, 400)
    assert 200 * zoom == pytest.approx(0.5 * 400)
    assert hole_view(Layer(width_px=1000, height_px=800), 600, 400) is None
    assert shows_whole(layer, 0.5, 600, 400)
    assert not shows_whole(layer, 0.7, 600, 400)
