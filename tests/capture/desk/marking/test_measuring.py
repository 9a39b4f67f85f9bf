"""Measuring freely: a scale, sizes on its plane, notes; shown and never filed."""

from math import dist, hypot

import pytest
from PySide6.QtCore import Qt

from annotate.marks import Angle, Area, Diameter, Distance, KnownDistance, Layer, Note, Point
from annotate.quantity import Quantity
from capture.demo.job import read_demo_plan
from capture.desk.marking.free_sizes import NO_SCALE, free_sizes
from tests.capture.desk.marking.conftest import SLOW_MS, all_words, press
from tests.capture.samples import HOLES

HOLE = HOLES["bearing-3.jpg"]
CONTROL = Qt.KeyboardModifier.ControlModifier
JOB = read_demo_plan().job


def rows(screen) -> list[str]:
    """Return the sizes as the column shows them."""
    sizes = screen.column.measure._sizes
    return [sizes.itemAt(n).widget().text() for n in range(sizes.count())]


def test_a_printed_target_is_a_scale_once_its_side_is_typed(demo, filed, opened, qtbot) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    (target,) = screen.placing.about.targets
    assert f"Card marker {target.identifier} seen: a scale once its side is typed" in all_words(
        screen
    )
    qtbot.keyClick(screen, Qt.Key.Key_G)
    qtbot.keyClicks(screen.column.sizes._target.box, f"{HOLE['marker_side']:.2f} mm")
    assert screen.placing.sizes().target.value == HOLE["marker_side"]

    screen.canvas.setFocus()
    qtbot.keyClick(screen, Qt.Key.Key_M)
    assert screen.column.page == "measure"
    qtbot.keyClick(screen, Qt.Key.Key_D)
    press(screen, target.corners_px[1], qtbot)
    press(screen, target.corners_px[2], qtbot)
    qtbot.waitUntil(lambda: bool(rows(screen)), timeout=SLOW_MS)
    (size,) = rows(screen)
    # A side of the square that was rendered with 10 mm (sample_images/answers.toml), set by
    # presses that land on whole pixels of the screen.
    assert float(size.split()[2]) == pytest.approx(HOLE["marker_side"], abs=0.2)
    assert "95 %" in size
    assert "Shown, not filed" in all_words(screen)
    assert screen.canvas._labels[0] == size.split(": ")[1].split(" (")[0]

    qtbot.keyClick(screen, Qt.Key.Key_M)
    assert screen.column.page == "rims"
    assert not any(screen.canvas._labels.values())
    assert demo.round.check("B3.covered").attempts == ()


def test_a_scale_of_two_points_asks_for_its_length_and_a_note_for_words(
    demo, filed, opened, qtbot
) -> None:
    screen = opened("B3.covered", filed("bearing-3.jpg"))
    page = screen.column.measure
    qtbot.keyClick(screen, Qt.Key.Key_M)
    qtbot.keyClick(screen, Qt.Key.Key_S)
    press(screen, (600, 700), qtbot)
    press(screen, (900, 700), qtbot)
    assert page.is_asking
    box = page._boxes["length"]
    qtbot.keyClicks(box.box, "12")
    qtbot.keyClick(box.box, Qt.Key.Key_Return)
    assert page.is_asking  # Return belongs to readings
    box.box.selectAll()
    qtbot.keyClicks(box.box, "1.2.3")
    qtbot.keyClick(box.box, Qt.Key.Key_Return, CONTROL)
    assert box.error
    box.box.selectAll()
    qtbot.keyClicks(box.box, "12.0 mm")
    qtbot.keyClick(box.box, Qt.Key.Key_Return, CONTROL)
    assert not page.is_asking
    (scale,) = screen.canvas.layer().marks
    assert scale.length == Quantity(12.0, "mm", u=0.05 / 3**0.5)

    qtbot.keyClick(screen, Qt.Key.Key_T)
    press(screen, (300, 300), qtbot)
    qtbot.keyClicks(page._boxes["words"].box, "burr")
    qtbot.keyClick(page._boxes["words"].box, Qt.Key.Key_Return, CONTROL)
    assert [m.text for m in screen.canvas.layer().marks if isinstance(m, Note)] == ["burr"]

    qtbot.keyClick(screen, Qt.Key.Key_S)
    press(screen, (600, 800), qtbot)
    press(screen, (900, 800), qtbot)
    qtbot.keyClick(page._boxes["length"].box, Qt.Key.Key_Escape)
    assert not page.is_asking
    assert len(screen.canvas.layer().marks) == 2
    # Pressing the photo while measuring looks for no rims.
    press(screen, HOLE["click"], qtbot)
    assert screen.placing.state == "press"


def layer(*marks: object) -> Layer:
    """A square-on picture in which 100 px are 10 mm."""
    scale = KnownDistance(Point(100, 900), Point(200, 900), Quantity(10.0, "mm"))
    return Layer(width_px=2000, height_px=1500, marks=(scale, *marks))


def test_sizes_are_those_of_plane_geometry() -> None:
    square = ((400.0, 400.0), (600.0, 400.0), (600.0, 600.0), (400.0, 600.0))
    ring = tuple((900 + 150 * x / hypot(x, y), 700 + 150 * y / hypot(x, y))
                 for x, y in ((1, 0), (1, 2), (-1, 1), (-2, -1), (0, -1), (1, -1)))  # fmt: skip
    found = free_sizes(
        layer(
            Distance(Point(0, 0), Point(300, 400)),
            Area(square),
            Angle(Point(500, 500), Point(700, 500), Point(500, 300)),
            Diameter(ring),
        ),
        JOB,
    )
    assert found.scale == "Scale: two points, 10 mm"
    shown = {size.name: size.label for size in found.sizes}
    assert list(shown) == ["distance 1", "area 1", "angle 1", "diameter 1"]
    px_per_mm = 10
    assert float(shown["distance 1"].split()[0]) == pytest.approx(
        dist((0, 0), (300, 400)) / px_per_mm, rel=0.03
    )
    assert shown["area 1"].endswith(" mm²")
    assert float(shown["area 1"].split()[0]) == pytest.approx(20 * 20, rel=0.05)
    assert float(shown["angle 1"].removesuffix("°")) == pytest.approx(90, abs=3)
    assert float(shown["diameter 1"].split()[0]) == pytest.approx(30, rel=0.03)


def test_without_a_scale_no_size_is_made_up() -> None:
    bare = Layer(width_px=2000, height_px=1500, marks=(Distance(Point(0, 0), Point(300, 400)),))
    found = free_sizes(bare, JOB)
    assert found.scale == NO_SCALE
    assert found.sizes[0].words == "not known: no scale was placed yet"


def test_an_area_that_crosses_itself_is_refused_in_its_row() -> None:
    bow = Area(((0.0, 0.0), (100.0, 100.0), (100.0, 0.0), (0.0, 100.0)))
    (size,) = free_sizes(layer(bow), JOB).sizes
    assert size.words == "not known: the border of an area must not cross itself"
