"""Limits as US Army technical manuals (public domain) print them, right and misprinted.

The misprints are as stored copies of TM 5-3805-260-24, 9-2815-254-24 (two of them) and
9-6115-604-34 have them; what each should be follows from 1 in = 25.4 mm (1959 agreement) and
1 lbf.ft = 1.3558179483314004 N.m (NIST SP 811 appendix B).
"""

import pytest

from annotate.quantity import Quantity
from capture.printed import read_printed

# TM, print, box, lower end, upper end, unit
SOUND = [
    ("TM 5-3805-281-24-2", "95.201-95.227 mm (3.7480-3.7491)", "mm", 95.201, 95.227),
    ("TM 5-3805-281-24-2", "95.201-95.227 mm (3.7480-3.7491)", "in", 3.7480, 3.7491),
    ("TM 5-3805-281-24-2", "0.030-0.107 mm (0.0012-0.0042)", "mm", 0.030, 0.107),
    ("TM 5-3805-281-24-2", "0.025 mm (0.0010)", "mm", 0.025, 0.025),
    ("TM 9-2815-260-24 p. 5-65", "0.0016-0.0043 in (0.041-0.109 mm)", "in", 0.0016, 0.0043),
    ("TM 9-2815-256-24 p. 3-185", "0.002-0.008 (0.05-0.20)", "in", 0.002, 0.008),
    ("TM 9-2815-256-24 p. 3-185", "3.325-3.326 in (84.45-84.48)", "in", 3.325, 3.326),
    ("TM 5-3805-260-24", "2.7496 +-0.0006 (69.840 +-0.015)", "in", 2.7490, 2.7502),
    ("TM 5-3805-260-24", "2.7496 ±0.0006 in (69.840 ±0.015 mm)", "mm", 69.825, 69.855),
    ("TM 5-3805-260-24", "3.4995 (88.887)", "in", 3.4995, 3.4995),
    ("TM 5-3810-300-24&P3", "150-180 lb-ft (204-244 Nm)", "lbf.ft", 150, 180),
    ("TM 5-3810-300-24&P3", "2 to 2-1/4 in", "in", 2, 2.25),
    ("TM 9-2815-202-34 p. 4-156", "0.0016-0.0050", "in", 0.0016, 0.0050),
    ("TM 5-3825-229-14&P p. 6-24", "0.014-0.024 in", "in", 0.014, 0.024),
]


@pytest.mark.parametrize(("source", "text", "unit", "low", "high"), SOUND)
def test_a_sound_print_is_taken_without_a_word(
    source: str, text: str, unit: str, low: float, high: float
) -> None:
    printed = read_printed(text, unit)
    assert printed.disagreements == (), source
    assert printed.unit == unit
    assert printed.at_least == Quantity(low, unit)
    assert printed.at_most == Quantity(high, unit)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        # TM 10-4320-307-24 p. 4-135: end play
        ("min 0.007 (0.18)", 0.007, None),
        ("max 0.017 in (0.43 mm)", None, 0.017),
        ("0.022 in max (0.56 mm)", None, 0.022),
        # TM 9-2815-256-24 p. 3-185, TM 9-2815-202-34 p. 4-156
        ("0.015 in. max. (0.38 mm)", None, 0.015),
        ("Min. 0.1540", 0.1540, None),
    ],
)
def test_a_sound_one_sided_print_has_one_end(
    text: str, low: float | None, high: float | None
) -> None:
    printed = read_printed(text, "in")
    assert printed.disagreements == ()
    assert printed.at_least == (None if low is None else Quantity(low, "in"))
    assert printed.at_most == (None if high is None else Quantity(high, "in"))


# print, what is told
MISPRINTS = [
    (
        "3.4980 in (88.749 mm)",
        ["3.4980 in is 88.849 mm, printed 88.749 mm: 0.100 mm apart"],
    ),
    (
        "2.7548-2.7533 in (69.920-69.632 mm)",
        [
            "2.7548 to 2.7533 in falls",
            "69.920 to 69.632 mm falls",
            "2.7548 in is 69.972 mm, printed 69.920 mm: 0.052 mm apart",
            "2.7533 in is 69.934 mm, printed 69.632 mm: 0.302 mm apart",
        ],
    ),
    (
        "0.082-0.0044 in (0.080-0.114 mm)",
        [
            "0.082 to 0.0044 in falls",
            "0.082 in is 2.083 mm, printed 0.080 mm: 2.003 mm apart",
        ],
    ),
    (
        "0.0025 in (0.089 mm)",
        ["0.0025 in is 0.064 mm, printed 0.089 mm: 0.025 mm apart"],
    ),
    (
        "74.915 in (190.284)",
        ["74.915 in is 1902.841 mm, printed 190.284 mm: 1712.557 mm apart"],
    ),
    (
        "0.10-0.25 mm (0.004-0.0010 in)",
        [
            "0.004 to 0.0010 in falls",
            "0.25 mm is 0.0098 in, printed 0.0010 in: 0.0088 in apart",
        ],
    ),
]


@pytest.mark.parametrize(("text", "told"), MISPRINTS)
def test_a_misprint_is_told_with_both_numbers_and_the_gap(text: str, told: list[str]) -> None:
    for unit in ("in", "mm"):
        if unit == "mm" and text.endswith("4)"):
            continue  # without its own unit the bracket is read by the box
        assert list(read_printed(text, unit).disagreements) == told


@pytest.mark.parametrize(
    "text",
    [
        # what the misprints above should be: 0.0032 in, 0.0035 in, 7.4915 in, 88.849 mm
        "0.0032-0.0044 in (0.080-0.114 mm)",
        "0.0035 in (0.089 mm)",
        "7.4915 in (190.284 mm)",
        "3.4980 in (88.849 mm)",
        "0.10-0.25 mm (0.004-0.010 in)",
    ],
)
def test_put_right_none_of_them_is_told(text: str) -> None:
    assert read_printed(text, "in").disagreements == ()
