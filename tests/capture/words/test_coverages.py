"""What a measured coverage is told as, on a terminal."""

import numpy as np
from msgspec.structs import replace

from annotate.beside import Repeats
from annotate.quantity import Quantity
from annotate.result import BudgetLine, Coverage, Known, Parallax, Unknown
from capture.words.coverages import budget_lines, coverage_lines, repeats_lines


def spread(low: float, high: float, unit: str) -> Known:
    return Known(Quantity.from_samples(np.linspace(low, high, 500), unit))


def result() -> Coverage:
    fraction, length = spread(0.2, 0.3, "1"), spread(1.0, 2.0, "mm")
    return Coverage(
        covered=fraction, open=fraction, covered_of_near=fraction, covered_of_far=fraction,
        open_area=Unknown("no length"), equivalent_diameter=length, offset=length,
        offset_clock=spread(80, 100, "deg"), largest_pin=length,
        line_of_sight=spread(10, 12, "deg"),
        parallax=Parallax(spread(0.3, 0.4, "mm"), spread(-0.1, 0.1, "mm"), spread(80, 100, "deg")),
        uncorrected=spread(0.25, 0.35, "1"),
    )  # fmt: skip


def sight(coverage: Coverage) -> str:
    lines = list(coverage_lines(coverage))
    first = next(i for i, line in enumerate(lines) if line.startswith("sight"))
    return " ".join(lines[first : first + 2])


def test_a_settled_lean_says_how_much_it_shifts_and_where_to_go() -> None:
    # The far hole seems shifted to the right: towards the camera, which goes left.
    assert "shifts the far hole by 0.35 mm" in sight(result())
    assert "move the camera left" in sight(result())


def test_a_lean_to_either_side_is_not_averaged_into_a_small_one() -> None:
    either = Parallax(spread(-0.4, 0.4, "mm"), spread(-0.1, 0.1, "mm"), spread(0, 360, "deg"))
    told = sight(replace(result(), parallax=either))
    assert "to which side is not settled" in told
    assert "move the camera" not in told
    assert "shifts" not in told


def test_without_a_length_the_reason_stands_apart_from_the_direction() -> None:
    unknown = Unknown("no length was given")
    lines = list(coverage_lines(replace(result(), offset=unknown, largest_pin=unknown)))
    assert "offset   not known: no length was given; it points towards 3:00 in the picture" in lines
    assert "pin      not known: no length was given" in lines


def test_lines_of_a_budget_are_said_to_come_to_its_total_where_they_do() -> None:
    found = replace(result(), budget=(BudgetLine("near rim", 3.0), BudgetLine("again", 4.0, 7.4)))
    for u, end in ((0.05, ", the root of the sum of their squares"), (0.04, " of covered")):
        covered = Known(Quantity(0.25, "1", u=u))
        lines = list(budget_lines(replace(found, covered=covered)))
        assert lines[:2] == [
            "    3.00 points  near rim",
            "    4.00 points  again, 7 degrees of freedom",
        ]
        assert lines[2].startswith(f"  {100 * u:6.2f} points  standard uncertainty of covered")
        assert lines[2].endswith(end)


def test_one_persons_scatter_and_what_several_add_are_told_apart() -> None:
    one, nobody, few = repeats_lines(Repeats(1.5, 9.0, 1.5, 9.0), 3)
    assert one == (
        "marking  3 earlier marks made more than once: one person's lie 1.50 times as far apart "
        "as is usual (as sure as 9 repeats make it)"
    )
    assert nobody.endswith("how far people differ they do not tell")
    assert "above 1.00 makes this interval wider" in few
    own, people, _ = repeats_lines(Repeats(1.8, 12.0, 1.4, 10.0, 1.13, 5.0), 6)
    assert "lie 1.40 times as far apart as is usual (as sure as 10 repeats" in own
    assert people == (
        "marking  people differ 1.13 times as much as is usual (as sure as 5 repeats make it)"
    )
    old = next(iter(repeats_lines(Repeats(1.5, 9.0), 3)))
    assert "1.50 times" in old


def test_lines_of_a_budget_too_small_for_a_figure_are_named_in_one() -> None:
    small = (BudgetLine("near rim", 3.0), BudgetLine("wall", 0.005), BudgetLine("lens", 0.0049))
    found = replace(result(), budget=(*small, BudgetLine("scale", 0.0)))
    assert list(budget_lines(found))[:3] == [
        "    3.00 points  near rim",
        "    0.01 points  wall",
        "  less than 0.005 points each: lens, scale",
    ]
