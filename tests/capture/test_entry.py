"""Typed readings: what each spelling is worth, and what is refused with advice.

Values are worked from the definitions: inch 25.4 mm, thou 1/1000 in, tenth 1/10000 in. The traps
of a naive parser (a fraction's whole part lost, a comma skipped, an inch mark dropped) and the
spellings used at a bench are all here.
"""

import subprocess
import sys
from fractions import Fraction as F  # noqa: N817 - the table is read by the line
from math import sqrt
from pathlib import Path

import pytest

from annotate.quantity import UNITS, Quantity, conversion_factor
from capture.entry import (
    Bound,
    Typed,
    parse_answer,
    parse_length,
    parse_limit,
    parse_reading,
    quantity_of,
    spell,
)
from capture.errors import BadReading, WrongUse
from capture.unit_words import SIZES

ROOT = Path(__file__).resolve().parents[2]
MIL = "mi" + "l"  # never written beside a number in this tree

# box, typed, value, unit of the value, half of its last step
TAKEN = [
    # plain numbers take the unit of the box
    ("mm", "8", F(8), "mm", F(1, 2)),
    ("mm", "9.1", F(91, 10), "mm", F(1, 20)),
    ("mm", "9.10", F(91, 10), "mm", F(1, 200)),
    ("mm", "0012.50", F(25, 2), "mm", F(1, 200)),
    ("mm", "0", F(0), "mm", F(1, 2)),
    ("in", ".0025", F(1, 400), "in", F(1, 20000)),
    ("in", "0.0025", F(1, 400), "in", F(1, 20000)),
    ("mm", "0.0635", F(127, 2000), "mm", F(1, 20000)),
    ("mm", "  9.1  ", F(91, 10), "mm", F(1, 20)),
    ("mm", "999999999999", F(999999999999), "mm", F(1, 2)),
    # fractions
    ("in", "17/32", F(17, 32), "in", F(1, 64)),
    ("in", "1 3/8", F(11, 8), "in", F(1, 16)),
    ("in", "1-5/8", F(13, 8), "in", F(1, 16)),
    ("in", "2/4", F(1, 2), "in", F(1, 8)),
    ("in", "33/32", F(33, 32), "in", F(1, 64)),
    ("in", "5 1/2", F(11, 2), "in", F(1, 4)),
    ("in", "12 63/64", F(831, 64), "in", F(1, 128)),
    ("in", "7/1000", F(7, 1000), "in", F(1, 2000)),
    ("mm", "1 3/8 in", F(11, 8), "in", F(1, 16)),
    ("mm", "5 1/2 in", F(11, 2), "in", F(1, 4)),
    ("mm", "1-5/8 in", F(13, 8), "in", F(1, 16)),
    ("mm", "1/2 mm", F(1, 2), "mm", F(1, 4)),
    # fraction characters and fraction slashes
    ("in", "½", F(1, 2), "in", F(1, 4)),
    ("in", "1½", F(3, 2), "in", F(1, 4)),
    ("in", "1 ⅜", F(11, 8), "in", F(1, 16)),
    ("in", "11⅞", F(95, 8), "in", F(1, 16)),
    ("in", "⅔", F(2, 3), "in", F(1, 6)),
    ("in", "1⁄2", F(1, 2), "in", F(1, 4)),
    ("in", "1 17⁄32", F(49, 32), "in", F(1, 64)),
    ("in", "3∕8", F(3, 8), "in", F(1, 16)),
    # inch words and marks
    ("mm", '1 3/8"', F(11, 8), "in", F(1, 16)),
    ("mm", '1.375"', F(11, 8), "in", F(1, 2000)),
    ("mm", "1 3/8″", F(11, 8), "in", F(1, 16)),
    ("mm", "1.375”", F(11, 8), "in", F(1, 2000)),
    ("mm", "1.375''", F(11, 8), "in", F(1, 2000)),
    ("mm", "1.375′′", F(11, 8), "in", F(1, 2000)),
    ("mm", "1.375in", F(11, 8), "in", F(1, 2000)),
    ("mm", "1.375 in.", F(11, 8), "in", F(1, 2000)),
    ("mm", "1.375 IN", F(11, 8), "in", F(1, 2000)),
    ("mm", "1 inch", F(1), "in", F(1, 2)),
    ("mm", "2.0 inches", F(2), "in", F(1, 20)),
    # the speech of the bench
    ("in", "2.5 thou", F(1, 400), "in", F(1, 20000)),
    ("in", "2 1/2 thou", F(1, 400), "in", F(1, 4000)),
    ("in", "2½ thou", F(1, 400), "in", F(1, 4000)),
    ("mm", "3 thou", F(3, 1000), "in", F(1, 2000)),
    ("mm", "3thou", F(3, 1000), "in", F(1, 2000)),
    ("in", "2 tenths", F(1, 5000), "in", F(1, 20000)),
    ("in", "1 tenth", F(1, 10000), "in", F(1, 20000)),
    # metric words
    ("in", "34.9 mm", F(349, 10), "mm", F(1, 20)),
    ("in", "34.9MM", F(349, 10), "mm", F(1, 20)),
    ("in", "8 millimetres", F(8), "mm", F(1, 2)),
    ("in", "8 millimeters", F(8), "mm", F(1, 2)),
    ("in", "63.5 um", F(127, 2), "um", F(1, 20)),
    ("in", "63.5 \u00b5m", F(127, 2), "um", F(1, 20)),  # micro sign
    ("in", "63.5 \u03bcm", F(127, 2), "um", F(1, 20)),  # Greek mu
    ("in", "63.5 microns", F(127, 2), "um", F(1, 20)),
    ("mm", "2.5 cm", F(5, 2), "cm", F(1, 20)),
    # spaces of other widths
    ("mm", "9.1\u00a0mm", F(91, 10), "mm", F(1, 20)),
    ("mm", "9.1\u2009mm", F(91, 10), "mm", F(1, 20)),
    ("mm", "9.1\u202fmm", F(91, 10), "mm", F(1, 20)),
    ("in", "1\u00a03/8", F(11, 8), "in", F(1, 16)),
    ("in", "1  3/8   in", F(11, 8), "in", F(1, 16)),
    ("in", "1\u20115/8", F(13, 8), "in", F(1, 16)),
    # torque
    ("N.m", "60", F(60), "N.m", F(1, 2)),
    ("N.m", "60 Nm", F(60), "N.m", F(1, 2)),
    ("N.m", "60 NM", F(60), "N.m", F(1, 2)),
    ("N.m", "60 N.m", F(60), "N.m", F(1, 2)),
    ("N.m", "60 N·m", F(60), "N.m", F(1, 2)),
    ("N.m", "60 N⋅m", F(60), "N.m", F(1, 2)),
    ("N.m", "60 N m", F(60), "N.m", F(1, 2)),
    ("N.m", "60 N-m", F(60), "N.m", F(1, 2)),
    ("N.m", "60 newton metres", F(60), "N.m", F(1, 2)),
    ("N.m", "45 ft lb", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 ft-lb", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 ft. lb.", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 ft-lbs", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 ftlb", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 lb-ft", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 lb ft", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 LB-FT", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 lbf.ft", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "45 foot pounds", F(45), "lbf.ft", F(1, 2)),
    ("lbf.ft", "45", F(45), "lbf.ft", F(1, 2)),
    ("N.m", "90 in lb", F(90), "lbf.in", F(1, 2)),
    ("N.m", "90 in-lbs", F(90), "lbf.in", F(1, 2)),
    ("N.m", "90 lb-in", F(90), "lbf.in", F(1, 2)),
    ("N.m", "90 lbf.in", F(90), "lbf.in", F(1, 2)),
    ("N.m", "90 inch-pounds", F(90), "lbf.in", F(1, 2)),
    # pressure, angle, ratio, area, count
    ("psi", "37.5", F(75, 2), "psi", F(1, 20)),
    ("psi", "2.5 bar", F(5, 2), "bar", F(1, 20)),
    ("bar", "37 PSI", F(37), "psi", F(1, 2)),
    ("psi", "250 kPa", F(250), "kPa", F(1, 2)),
    ("psi", "250 kpa", F(250), "kPa", F(1, 2)),
    ("deg", "15°", F(15), "deg", F(1, 2)),
    ("deg", "15.5 º", F(31, 2), "deg", F(1, 20)),
    ("deg", "15 deg", F(15), "deg", F(1, 2)),
    ("deg", "15 degrees", F(15), "deg", F(1, 2)),
    ("deg", "1/4 turn", F(1, 4), "turn", F(1, 8)),
    ("turn", "1 1/2 turns", F(3, 2), "turn", F(1, 4)),
    ("turn", "45°", F(45), "deg", F(1, 2)),
    # time, and a pressure that drops
    ("min", "20 min", F(20), "min", F(1, 2)),
    ("min", "90 s", F(90), "s", F(1, 2)),
    ("s", "1.5 hrs", F(3, 2), "h", F(1, 20)),
    ("psi/min", "0.4 psi/min", F(2, 5), "psi/min", F(1, 20)),
    ("psi/min", "2.5 kPa / min", F(5, 2), "kPa/min", F(1, 20)),
    ("kPa/min", "0.4 psi per minute", F(2, 5), "psi/min", F(1, 20)),
    ("%", "12.5", F(25, 2), "%", F(1, 20)),
    ("%", "12.5%", F(25, 2), "%", F(1, 20)),
    ("1", "12.5 per cent", F(25, 2), "%", F(1, 20)),
    ("1", "0.4", F(2, 5), "1", F(1, 20)),
    ("mm^2", "20.5 mm2", F(41, 2), "mm^2", F(1, 20)),
    ("mm^2", "20.5 mm²", F(41, 2), "mm^2", F(1, 20)),
    ("mm^2", "0.03 sq in", F(3, 100), "in^2", F(1, 200)),
    ("count", "7", F(7), "count", F(0)),
    ("count", "7 count", F(7), "count", F(0)),
]

# box, typed, what the refusal says to do
REFUSED = [
    # nothing, and what is no number
    ("mm", "", "type a number such as 12.5 mm"),
    ("mm", "   ", "type a number such as 12.5 mm"),
    ("count", "", "type a number such as 3"),
    ("1", "", "type a number such as 0.25"),
    ("mm", "mm", "type a number such as 12.5 mm"),
    ("mm", "mm 8", "type a number such as 12.5 mm"),
    ("mm", "nan", "type a number such as 12.5 mm"),
    ("mm", "inf", "type a number such as 12.5 mm"),
    ("mm", "infinity", "type a number such as 12.5 mm"),
    ("mm", "O.5", "type a number such as 12.5 mm"),
    ("mm", ".", "type a number such as 12.5 mm"),
    ("mm", "None", "type a number such as 12.5 mm"),
    ("mm", "/2", "type a number such as 12.5 mm"),
    ("mm", "M8", "type a number such as 12.5 mm"),
    # signs
    ("mm", "-3", "type the whole size without a sign"),
    ("mm", "\u22123", "type the whole size without a sign"),
    ("mm", "+3", "type the whole size without a sign"),
    ("mm", "+.010 in", "type the whole size without a sign"),
    ("mm", "±3", "type the whole size without a sign"),
    ("mm", "- 3", "type the whole size without a sign"),
    # commas, points, thousands
    ("mm", "1,234", "type 1.234 or 1234"),
    ("mm", "12,345 mm", "type 12.345 or 12345"),
    ("mm", "1,234,567", "type 1234567"),
    ("mm", "1,234.5", "type 1.234 or 1234"),
    ("mm", "34,9", "type 34.9"),
    ("mm", "34,9 mm", "type 34.9"),
    ("mm", "0,051", "type 0.051"),
    ("mm", ",5", "type .5"),
    ("mm", "1.234,5", "type one decimal point"),
    ("mm", "2.", "type one decimal point"),
    ("mm", "2. mm", "type one decimal point"),
    ("mm", "1.2.3", "type one decimal point"),
    ("mm", "1..2", "type one decimal point"),
    ("mm", "12,", "type one decimal point"),
    ("mm", "1 234", "type one number"),
    ("mm", "1\u00a0234", "type one number"),
    ("mm", "1'234", "type one number"),
    # other forms of number
    ("mm", "1e3", "write the number out"),
    ("mm", "1E-3 mm", "write the number out"),
    ("mm", "1.5e+3", "write the number out"),
    ("mm", "0x10", "type a number such as 12.5 mm"),
    ("mm", "1_000", "type one number"),
    ("mm", "5^2", "type a number such as 12.5 mm"),
    ("mm", "\uff11\uff12", "type figures 0 to 9"),  # full width
    ("mm", "\u0661\u0662", "type figures 0 to 9"),  # Arabic-Indic
    ("mm", "1³", "type figures 0 to 9"),
    ("in", "⅟64", "type figures 0 to 9"),
    ("mm", "1234567890123", "type the number again"),
    ("mm", "0.1234567890123", "type the number again"),
    ("in", "1234567890123/2", "type the number again"),
    ("in", "1234567890123 1/2", "type the number again"),
    # fractions
    ("in", "1 9/8", "such as 1 3/8"),
    ("in", "1 8/8", "such as 1 3/8"),
    ("in", "1-9/8", "such as 1 3/8"),
    ("in", "1/0", "type the fraction again"),
    ("in", "1 3/0", "type the fraction again"),
    ("in", "0/8", "leave the fraction out"),
    ("in", "1 0/8", "leave the fraction out"),
    ("in", "1/1001", "type the number as a decimal"),
    ("in", "1/2/3", "type a fraction as 17/32"),
    ("in", "1 /2", "type a fraction as 17/32"),
    ("in", "1/ 2", "type a fraction as 17/32"),
    ("in", "1/½", "type a fraction as 17/32"),
    ("in", "½/2", "type a fraction as 17/32"),
    ("in", "1.5/8", "type a fraction as 17/32"),
    ("in", "5 1/2 1/4", "a fraction as 1 3/8"),
    ("in", "½5", "a fraction as 1 3/8"),
    ("in", "½½", "a fraction as 1 3/8"),
    ("in", ".5½", "a fraction as 1 3/8"),
    ("in", "1.5 3/8", "a fraction as 1 3/8"),
    ("in", "17⁄32", "type 17/32 or 1 7/32 with a plain slash"),
    ("in", "11⁄2", "type 11/2 or 1 1/2 with a plain slash"),
    ("mm", "17/32", "type the unit behind it: in, or mm"),
    ("um", "1 3/8", "type the unit behind it: in, or um"),
    ("cm", "1½", "type the unit behind it: in, or cm"),
    # several numbers
    ("mm", "12 13", "type one number"),
    ("mm", "12, 13", "type one decimal point"),
    ("mm", "12;13", "type one number"),
    ("mm", "8 mm 0.3 in", "type one number and one unit"),
    ("mm", "8 mm 9", "type one number and one unit"),
    ("mm", "8x9", "type a number such as 12.5 mm"),
    ("mm", "8 mm (0.315 in)", "type one number and one unit"),
    # unit words
    ("mm", f"3 {MIL}", "type thou for 0.001 in, or mm"),
    ("in", f"3 {MIL}s", "type thou for 0.001 in, or mm"),
    ("in", f"3{MIL.upper()}", "type thou for 0.001 in, or mm"),
    ("mm", "2 tenths", "type the number in in, thou, mm or um"),
    ("um", "2 tenths", "type the number in in, thou, mm or um"),
    ("mm", "8 m", "type mm"),
    ("mm", "8 metres", "type mm"),
    ("mm", "8 Mm", "type mm"),
    ("mm", "8 mM", "type mm"),
    ("mm", "8 nm", "type N.m for a torque or um"),
    ("N.m", "60 nm", "type N.m for a torque or um"),
    ("N.m", "60 nM", "type N.m"),
    ("mm", "63 µ", "type um"),
    ("mm", "5'", "type the length in inches"),
    ("mm", "5 ft", "type the length in inches"),
    ("mm", "8 furlongs", "units here are mm, um, cm, in"),
    ("mm", "8 in mm", "type one of them"),
    ("mm", "8 mm in", "type one of them"),
    ("N.m", "60 lb", "type lbf.ft, lbf.in, N.m or psi"),
    ("N.m", "6 kg", "type lbf.ft, lbf.in, N.m or psi"),
    ("N.m", "6 kgf.m", "units here are N.m, lbf.ft, lbf.in"),
    ("psi", "2 MPa", "units here are kPa, bar, psi"),
    ("mm", "20 °C", "units here are mm, um, cm, in"),
    ("mm", "9.1 mm!", "type a number such as 12.5 mm"),
    ("mm", "9.1 .", "type a number such as 12.5 mm"),
    ("mm", "9.1 - mm", "type a number such as 12.5 mm"),
    # another kind
    ("mm", "60 Nm", "a torque goes where one is asked for"),
    ("mm", "45 ft lb", "a torque goes where one is asked for"),
    ("in", "5 in lb", "a torque goes where one is asked for"),
    ("N.m", "60 mm", "a length goes where one is asked for"),
    ("mm", "40 psi", "a pressure goes where one is asked for"),
    ("mm", "15°", "an angle goes where one is asked for"),
    ("mm", "50 %", "a ratio goes where one is asked for"),
    ("mm", "20 mm2", "an area goes where one is asked for"),
    ("mm", "7 count", "a count goes where one is asked for"),
    ("count", "7 mm", "a length goes where one is asked for"),
    # counts
    ("count", "2.5", "count again"),
    ("count", "2.0", "count again"),
    ("count", "1/2", "count again"),
    ("count", "7 +- 1", "count again"),
    ("count", "7 to 8", "count again"),
    # bands
    ("mm", "1-2", "a band as 0.02 to 0.03"),
    ("mm", "1-2 mm", "a band as 0.02 to 0.03"),
    ("mm", "1.0-2", "a band as 0.02 to 0.03"),
    ("mm", "1-2.0", "a band as 0.02 to 0.03"),
    ("in", "1/2-3/4", "a band as 0.02 to 0.03"),
    ("in", "1/2 to 3/4", "a band as 0.02 to 0.03"),
    ("in", "1 - 5/8", "a band as 0.02 to 0.03"),
    ("in", "1- 5/8", "a band as 0.02 to 0.03"),
    ("in", "1 3/8-16", "a band as 0.02 to 0.03"),
    ("um", "25 -38", "type a band as 0.02 to 0.03"),
    ("um", "25- 38", "type a band as 0.02 to 0.03"),
    ("mm", "0.05 -0.06", "type a band as 0.02 to 0.03"),
    ("mm", "0.051-0.038", "type the smaller number first"),
    ("mm", "0.051 to 0.051", "type the smaller number first"),
    ("mm", "0.038 mm to 0.051 in", "type one unit, behind both numbers"),
    ("mm", "0.038 mm to 0.051", "type one unit, behind both numbers"),
    ("mm", "0.038-0.051-0.076", "type one number and one unit"),
    ("mm", "0.038--0.051", "type one unit, behind both numbers"),
    ("mm", "0.038 to", "type a number such as 12.5 mm"),
    ("mm", "0.038-0.051 +- 0.001", "type the band or the +-, not both"),
    # +-
    ("mm", "1.8 +-", "+- 0.05 mm"),
    ("mm", "1.8 +- mm", "+- 0.05 mm"),
    ("mm", "1.8 +- 0.1 +- 0.2", "+- 0.05 mm"),
    ("mm", "1.8 +- -0.1", "+- 0.05 mm"),
    ("mm", "1.8 +- 0", "leave the +- out"),
    ("mm", "1.8 +- 0.00 mm", "leave the +- out"),
    ("mm", "1.8 -+ 0.1", "type one number and one unit"),
    ("mm", "1.8 + 0.1", "type one number and one unit"),
    ("mm", "1.8 +- 0.05 in", "type a unit behind each number"),
    ("in", "2 +- 0.5 thou", "type a unit behind each number"),
    ("in", "1.8 +- 0.05 mm", "type a unit behind each number"),
    ("1", "0.4 +- 2 %", "type a unit behind each number"),
    ("mm", "1.8 mm +- 1 %", "a ratio goes where one is asked for"),
    ("mm", "1.8 +- 1 Nm", "a torque goes where one is asked for"),
    ("mm", "1 mm +- 1 tenth", "type the number in in, thou, mm or um"),
    ("in", "1 mm +- 1 tenth", "type the number in in, thou, mm or um"),
    # depths' words and hostile text
    ("mm", "0.3 mm BELOW", "type a number such as 12.5 mm"),
    ("mm", "FLUSH", "type a number such as 12.5 mm"),
    ("mm", "9.1\t", "type the reading again by hand"),
    ("mm", "9.1\nmm", "type the reading again by hand"),
    ("mm", "9.1\x00", "type the reading again by hand"),
    ("mm", "9\u200b.1", "type the reading again by hand"),
    ("mm", "\u202e9.1", "type the reading again by hand"),
    ("mm", "Ø9.1", "type plain figures"),
    ("mm", "9.1 ｍｍ", "type plain figures"),
    ("mm", "9·1", "type one number and one unit"),
    ("mm", "1" * 101, "type one number and its unit"),
    ("mm", "9" * 500, "type one number and its unit"),
]  # fmt: skip


@pytest.mark.parametrize(("box", "text", "exact", "unit", "half_step"), TAKEN)
def test_a_spelling_of_the_bench_has_one_exact_value(
    box: str, text: str, exact: F, unit: str, half_step: F
) -> None:
    typed = parse_reading(text, unit=box)
    assert (typed.exact, typed.unit, typed.half_step) == (exact, unit, half_step)
    assert (typed.text, typed.face, typed.band, typed.plus_minus) == (text, "", None, None)
    has_unit_word = any(c.isalpha() or c in "%°º\"″”'′" for c in text)
    assert typed.unit_assumed == (not has_unit_word)


# Every word that is taken, listed here once more by hand.
WORDS = {
    "mm": "mm millimetre millimetres millimeter millimeters",
    "um": "um micron microns micrometre micrometres micrometer micrometers",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "in": "in inch inches \" ''",
    "mm^2": "mm^2 mm2 sq_mm",
    "in^2": "in^2 in2 sq_in",
    "deg": "deg degree degrees °",
    "turn": "turn turns",
    "s": "s sec secs second seconds",
    "min": "min mins minute minutes",
    "h": "h hr hrs hour hours",
    "kPa/min": "kPa/min kPa/minute kPa_per_min kPa_per_minute",
    "psi/min": "psi/min psi/minute psi_per_min psi_per_minute",
    "%": "% percent per_cent",
    "N.m": "N.m Nm newton_metre newton_metres newton_meter newton_meters",
    "lbf.ft": "lb_ft lbs_ft lbf_ft pound_ft pounds_ft ft_lb ft_lbs ft_lbf foot_pound foot_pounds"
    " feet_pounds lbft lbfft ftlb ftlbs ftlbf pound_feet pound-foot",
    "lbf.in": "lb_in lbs_in lbf_in pound_in pounds_in in_lb in_lbs in_lbf inch_pound inch_pounds"
    " inches_pounds lbin lbfin inlb inlbs inlbf pound_inches pound-inch",
    "psi": "psi",
    "bar": "bar",
    "kPa": "kPa",
    "count": "count",
}


@pytest.mark.parametrize(
    ("unit", "word"), [(unit, word) for unit, words in WORDS.items() for word in words.split()]
)
def test_every_word_for_a_unit_is_taken(unit: str, word: str) -> None:
    for spelled in {word, word.upper()} if word != "Nm" else {word}:
        typed = parse_reading(f"2 {spelled.replace('_', ' ')}", unit=unit)
        assert (typed.exact, typed.unit, typed.unit_assumed) == (F(2), unit, False)


@pytest.mark.parametrize(
    ("word", "inches"), [("thou", "1e-3"), ("thous", "1e-3"), ("tenth", "1e-4"), ("tenths", "1e-4")]
)
def test_thou_and_tenth_are_parts_of_an_inch(word: str, inches: str) -> None:
    typed = parse_reading(f"2 {word}", unit="in")
    assert (typed.exact, typed.unit, typed.half_step) == (2 * F(inches), "in", F(inches) / 2)


@pytest.mark.parametrize(("box", "text", "advice"), REFUSED)
def test_what_is_unclear_is_refused_and_told_what_to_type(box: str, text: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_reading(text, unit=box)
    assert advice in refusal.value.advice
    assert refusal.value.reason
    assert str(refusal.value) == f"{refusal.value.reason}; {refusal.value.advice}"
    assert str(refusal.value).isprintable()
    assert len(str(refusal.value)) < 300


def test_100_characters_are_not_too_many() -> None:
    assert parse_reading("9.1" + " " * 95 + "mm", unit="mm").exact == F(91, 10)


# decimal comma: only where the job says so, and never where it may be thousands
@pytest.mark.parametrize(
    ("text", "exact", "half_step"),
    [
        ("34,9", F(349, 10), F(1, 20)),
        ("34,9 mm", F(349, 10), F(1, 20)),
        (",5", F(1, 2), F(1, 20)),
        ("0,051", F(51, 1000), F(1, 2000)),
        ("1234,5", F(2469, 2), F(1, 20)),
        ("1234,567", F(1234567, 1000), F(1, 2000)),
        ("1,2345", F(12345, 10000), F(1, 20000)),
        # a gauge on a cable sends a point whatever the job says
        ("34.9", F(349, 10), F(1, 20)),
        ("54.021", F(54021, 1000), F(1, 2000)),
    ],
)
def test_a_decimal_comma_counts_where_the_job_has_one(text: str, exact: F, half_step: F) -> None:
    typed = parse_reading(text, unit="mm", decimal_comma=True)
    assert (typed.exact, typed.half_step) == (exact, half_step)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("1,234", "type 1.234 or 1234"),
        ("54,021 mm", "type 54.021 or 54021"),
        ("1.234,5", "no thousands marks"),
        ("1,234.5", "type 1.234 or 1234"),
        ("1,2,3", "no thousands marks"),
        ("34,", "no thousands marks"),
        ("1,5/8 in", "type a fraction as 17/32"),
    ],
)
def test_thousands_are_refused_with_a_decimal_comma_too(text: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_reading(text, unit="mm", decimal_comma=True)
    assert advice in refusal.value.advice


def test_a_decimal_comma_counts_in_a_band_and_a_margin() -> None:
    band = parse_reading("0,038-0,051 mm", unit="mm", decimal_comma=True)
    assert band.band == (F(38, 1000), F(51, 1000))
    assert parse_reading("1,8 +- 0,05", unit="mm", decimal_comma=True).plus_minus == F(1, 20)


# typed, low, high, unit, half of the finer step
BANDS = [
    ("0.038-0.051 mm", F(38, 1000), F(51, 1000), "mm", F(1, 2000)),
    ("0.038–0.051 mm", F(38, 1000), F(51, 1000), "mm", F(1, 2000)),
    ("0.038 - 0.051", F(38, 1000), F(51, 1000), "mm", F(1, 2000)),
    (".038-.051", F(38, 1000), F(51, 1000), "mm", F(1, 2000)),
    ("0.038 mm to 0.051 mm", F(38, 1000), F(51, 1000), "mm", F(1, 2000)),
    ("0.002 to 0.003 in", F(2, 1000), F(3, 1000), "in", F(1, 2000)),
    ("0.0015 to 0.002 in", F(15, 10000), F(2, 1000), "in", F(1, 20000)),
    ("0.002 TO 0.0035 in", F(2, 1000), F(35, 10000), "in", F(1, 20000)),
    ("1.5 to 2 thou", F(15, 10000), F(2, 1000), "in", F(1, 20000)),
    ("25 to 38 um", F(25), F(38), "um", F(1, 2)),
    ("25 - 38 um", F(25), F(38), "um", F(1, 2)),
    ("0 to 0.05", F(0), F(1, 20), "mm", F(1, 200)),
]


@pytest.mark.parametrize(("text", "low", "high", "unit", "half_step"), BANDS)
def test_a_band_has_its_ends_and_their_middle(
    text: str, low: F, high: F, unit: str, half_step: F
) -> None:
    typed = parse_reading(text, unit="mm")
    assert typed.band == (low, high)
    assert typed.exact == (low + high) / 2
    assert (typed.unit, typed.half_step, typed.plus_minus) == (unit, half_step, None)


# box, typed, value, +-, unit
MARGINS = [
    ("mm", "1.8 mm +- 0.05 mm", F(9, 5), F(1, 20), "mm"),
    ("mm", "1.8 mm ± 0.05", F(9, 5), F(1, 20), "mm"),
    ("mm", "1.8±0.05", F(9, 5), F(1, 20), "mm"),
    ("mm", "1.8 +/- 0.05 mm", F(9, 5), F(1, 20), "mm"),
    ("mm", "1.8 mm +- 50 um", F(9, 5), F(1, 20), "mm"),
    ("mm", "1 mm +- 0.5 thou", F(1), F(127, 10000), "mm"),
    ("in", "1.375 in +- 0.5 thou", F(11, 8), F(1, 2000), "in"),
    ("in", "1.375 in +- 2 tenths", F(11, 8), F(1, 5000), "in"),
    ("in", "2.5 thou +- 0.5", F(1, 400), F(1, 2000), "in"),
    ("in", "1 3/8 +- 1/64", F(11, 8), F(1, 64), "in"),
    ("in", "1.375 in +- 0.02 mm", F(11, 8), F(1, 1270), "in"),
    ("N.m", "60 Nm +- 3", F(60), F(3), "N.m"),
    ("%", "40 +- 2 %", F(40), F(2), "%"),
]


@pytest.mark.parametrize(("box", "text", "exact", "plus_minus", "unit"), MARGINS)
def test_a_margin_is_kept_in_the_unit_of_its_value(
    box: str, text: str, exact: F, plus_minus: F, unit: str
) -> None:
    typed = parse_reading(text, unit=box)
    assert (typed.exact, typed.plus_minus, typed.unit) == (exact, plus_minus, unit)


@pytest.mark.parametrize(
    ("text", "assumed"), [("1.8 +- 0.05", True), ("1.8 +- 0.05 mm", False), ("1.8 mm +- 1", False)]
)
def test_the_unit_is_assumed_only_where_none_was_typed(text: str, assumed: bool) -> None:
    assert parse_reading(text, unit="mm").unit_assumed is assumed


# typed, value, unit, word, half of the last step; FLUSH alone is worth half of 0.005 in
DEPTHS = [
    ("0.30 mm BELOW", F(3, 10), "mm", "BELOW", F(1, 200)),
    ("below 0.30 mm", F(3, 10), "mm", "BELOW", F(1, 200)),
    ("0.30below", F(3, 10), "mm", "BELOW", F(1, 200)),
    ("Below0.30", F(3, 10), "mm", "BELOW", F(1, 200)),
    ("3 thou proud", F(-3, 1000), "in", "PROUD", F(1, 2000)),
    ("PROUD 1/64 in", F(-1, 64), "in", "PROUD", F(1, 128)),
    ("0.3 +- 0.1 mm proud", F(-3, 10), "mm", "PROUD", F(1, 20)),
    ("FLUSH", F(0), "mm", "FLUSH", F(635, 10000)),
    ("flush 0", F(0), "mm", "FLUSH", F(635, 10000)),
    ("0 in flush", F(0), "in", "FLUSH", F(25, 10000)),
    ("0.00 mm FLUSH", F(0), "mm", "FLUSH", F(1, 200)),
]


@pytest.mark.parametrize(("text", "exact", "unit", "face", "half_step"), DEPTHS)
def test_a_depth_is_positive_below_and_negative_proud(
    text: str, exact: F, unit: str, face: str, half_step: F
) -> None:
    typed = parse_reading(text, unit="mm", depth=True)
    assert (typed.exact, typed.unit, typed.face) == (exact, unit, face)
    assert typed.half_step == half_step
    assert typed.text == text


def test_flush_alone_took_the_unit_of_its_box() -> None:
    typed = parse_reading("FLUSH", unit="in", depth=True)
    assert (typed.unit, typed.unit_assumed, typed.half_step) == ("in", True, F(25, 10000))
    assert not parse_reading("0 in FLUSH", unit="mm", depth=True).unit_assumed


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("0.3 mm", "type it as 0.30 mm BELOW or PROUD, or FLUSH"),
        ("0", "type it as 0.30 mm BELOW or PROUD, or FLUSH"),
        ("-0.3", "type it as 0.30 mm BELOW or PROUD"),
        ("+0.3 mm", "type it as 0.30 mm BELOW or PROUD"),
        ("-0.3 mm BELOW", "type it as 0.30 mm BELOW or PROUD"),
        ("BELOW", "type a number such as 12.5 mm"),
        ("0 BELOW", "type FLUSH"),
        ("0.00 mm PROUD", "type FLUSH"),
        ("0.3 FLUSH", "type FLUSH alone, or BELOW or PROUD"),
        ("FLUSH +- 0.05", "type it as 0.30 mm BELOW or PROUD"),
        ("0.3 mm BELOW the chamfer", "type it as 0.30 mm BELOW"),
        ("BELOW 0.3 PROUD", "type it as 0.30 mm BELOW"),
        ("BELOW BELOW 0.3", "type it as 0.30 mm BELOW"),
        ("0.3 mm BELOW +- 0.1", "type it as 0.30 mm BELOW"),
        ("0.30-0.40 mm BELOW", "0.30 mm +- 0.05 mm BELOW"),
        ("0.30-0.40 mm", "0.30 mm +- 0.05 mm BELOW"),
        ("0.3 mm belowish", "type a number such as 12.5 mm"),
        ("1/2 BELOW", "type the unit behind it"),
    ],
)
def test_a_depth_without_one_clear_side_is_refused(text: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_reading(text, unit="mm", depth=True)
    assert advice in refusal.value.advice


@pytest.mark.parametrize("unit", ["furlong", "", "Nm", "px", "rad"])
def test_a_box_of_an_unknown_unit_is_the_programs_fault(unit: str) -> None:
    with pytest.raises(WrongUse, match="units are 1, %, mm"):
        parse_reading("8", unit=unit)


def test_a_depth_in_torque_is_the_programs_fault() -> None:
    with pytest.raises(WrongUse, match="a depth is a length"):
        parse_reading("8", unit="N.m", depth=True)


def test_every_unit_is_one_of_the_measuring_side_and_of_the_same_kind() -> None:
    assert {unit: kind for unit, (kind, _) in SIZES.items()} == {
        unit: UNITS[unit][1] for unit in SIZES
    }
    assert {kind for kind, _ in SIZES.values()} == {kind for _, kind in UNITS.values()} - {"pixels"}


@pytest.mark.parametrize(
    ("unit", "other"),
    [(a, b) for a, (kind, _) in SIZES.items() for b, (other, _) in SIZES.items() if kind == other],
)
def test_exact_sizes_of_units_agree_with_pint(unit: str, other: str) -> None:
    exact = float(SIZES[unit][1] / SIZES[other][1])
    assert exact == pytest.approx(conversion_factor(unit, other), rel=1e-14)


@pytest.mark.parametrize(
    ("unit", "size"),
    [
        # NIST SP 811 (2008) appendix B.8, to the seven figures printed there
        ("lbf.ft", 1.355818),
        ("lbf.in", 0.1129848),
        ("psi", 6.894757),
        ("psi/min", 6.894757),
        ("bar", 100),
        # table 6: exact, units outside the SI accepted with it
        ("min", 60),
        ("h", 3600),
        ("in", 25.4),
        ("in^2", 645.16),
    ],
)
def test_exact_sizes_of_units_agree_with_sp_811(unit: str, size: float) -> None:
    assert float(SIZES[unit][1]) == pytest.approx(size, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "mm", "half_width_mm"),
    [
        ("8 mm", 8.0, 0.5),
        ("8", 8.0, 0.5),
        ("8.00 mm", 8.0, 0.005),
        ("5/16 in", 7.9375, 25.4 / 32),
        ('5/16"', 7.9375, 25.4 / 32),
        ("1.8 mm +- 0.05 mm", 1.8, 0.05),
        ("0.25 in +- 1 thou", 6.35, 0.0254),
        ("2.5 cm", 25.0, 0.5),
        ("0.038-0.051 mm", 0.0445, 0.0065),
        ("0.04 to 0.05 mm", 0.045, 0.005),
        ("0.0400 to 0.050 mm", 0.045, 0.005),
        ("1 to 2 mm", 1.5, 0.5),
        ("63.5 um", 0.0635, 0.00005),
    ],
)
def test_a_length_is_in_mm_with_its_rectangular_uncertainty(
    text: str, mm: float, half_width_mm: float
) -> None:
    """u = a/sqrt(3) for a half width a: JCGM 100:2008 4.3.7; rounding: F.2.2.1."""
    length = parse_length(text)
    assert isinstance(length, Quantity)
    assert length.unit == "mm"
    assert length.value == pytest.approx(mm, rel=1e-15)
    assert length.u == pytest.approx(half_width_mm / sqrt(3), rel=1e-14)
    assert length.dof is None


def test_a_length_takes_the_unit_of_its_box_and_is_told_in_mm() -> None:
    assert parse_length("2", unit="in").value == 50.8
    assert parse_length("2,5", decimal_comma=True).value == 2.5


@pytest.mark.parametrize("text", ["0", "0.00 mm", "-1", "", "60 Nm", "1,234", "2,5"])
def test_a_length_of_nothing_or_of_no_clear_size_is_refused(text: str) -> None:
    with pytest.raises(BadReading, match="; type"):
        parse_length(text)


def test_a_count_is_exact_and_flush_alone_is_not() -> None:
    assert quantity_of(parse_reading("7", unit="count")) == Quantity(7.0, "count")
    flush = quantity_of(parse_reading("FLUSH", unit="mm", depth=True))
    assert flush == Quantity(0.0, "mm", u=0.0635 / sqrt(3))


def test_a_quantity_keeps_the_typed_unit_and_the_side() -> None:
    assert quantity_of(parse_reading("3 thou PROUD", unit="mm", depth=True)) == Quantity(
        -0.003, "in", u=0.0005 / sqrt(3)
    )


@pytest.mark.parametrize(
    ("text", "answer"),
    [("yes", True), ("YES", True), (" y ", True), ("no", False), ("No", False), ("N", False)],
)
def test_yes_and_no_are_answers(text: str, answer: bool) -> None:
    assert parse_answer(text) is answer


@pytest.mark.parametrize(
    "text", ["", "ok", "yep", "nope", "1", "0", "true", "yes no", "ye", "n/a", "не", "y\x00"]
)
def test_every_other_word_is_no_answer(text: str) -> None:
    with pytest.raises(BadReading, match="; type"):
        parse_answer(text)


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        ("covered < 45 %", Bound("covered", "<", F(45), "%")),
        ("covered<45%", Bound("covered", "<", F(45), "%")),
        ("COVERED of  NEAR <= 37.5 %", Bound("covered of near", "<=", F(75, 2), "%")),
        ("covered of near ≤ 40 %", Bound("covered of near", "<=", F(40), "%")),
        ("covered of far < 0.4", Bound("covered of far", "<", F(2, 5), "1")),
        ("covered > 0", Bound("covered", ">", F(0), "1")),
        ("covered <= 100 %", Bound("covered", "<=", F(100), "%")),
        ("covered < 1/4", Bound("covered", "<", F(1, 4), "1")),
        ("pin >= 2.5 mm", Bound("pin", ">=", F(5, 2), "mm")),
        ("pin ≥ 3/32 in", Bound("pin", ">=", F(3, 32), "in")),
        ("Pin > 2.5 MM", Bound("pin", ">", F(5, 2), "mm")),
        ("open area >= 20 mm2", Bound("open area", ">=", F(20), "mm^2")),
        ("open area >= 20 mm²", Bound("open area", ">=", F(20), "mm^2")),
        ("open area >= 0.03 in^2", Bound("open area", ">=", F(3, 100), "in^2")),
    ],
)
def test_a_limit_names_what_it_speaks_of(text: str, bound: Bound) -> None:
    assert parse_limit(text) == bound


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("", "type one of covered, covered of near, covered of far, pin, open area, then <"),
        ("covered", "type one of covered"),
        ("< 45 %", "type one of covered"),
        ("45 %", "type one of covered"),
        ("covered 45 %", "type one of covered"),
        ("covered = 45 %", "type one of covered"),
        ("covered =< 45 %", "type one of covered"),
        ("covered < = 45 %", "type one of covered"),
        ("0.1 < covered < 0.4", "type one of covered"),
        ("covered < 0.4 < 0.5", "type one of covered"),
        ("open >= 45 %", "type one of covered"),
        ("coverage < 45 %", "type one of covered"),
        ("covered of both < 45 %", "type one of covered"),
        ("covered less than half", "type one of covered"),
        ("covered <", "type one of covered"),
        ("covered < half", "type a number such as 0.25"),
        ("covered < 45", "type 45 % if per cent is meant"),
        ("covered < 1", "type 1 % if per cent is meant"),
        ("covered < 101 %", "type 0 % to 100 %"),
        ("covered < -1 %", "without a sign"),
        ("covered < 45 mm", "a length goes where one is asked for"),
        ("covered < 45 % +- 1 %", "without +- and without a band"),
        ("covered < 0.3 to 0.4", "without +- and without a band"),
        ("covered < 0,4", "type 0.4"),
        ("pin >= 3", "type 3 mm"),
        ("pin >= 3 Mm", "type mm"),
        ("pin >= 3 mm2", "an area goes where one is asked for"),
        ("open area >= 20", "type 20 mm^2"),
        ("open area >= 20 mm", "a length goes where one is asked for"),
        ("covered < 4\x005 %", "type the reading again by hand"),
        ("covered < " + "4" * 500, "type one number"),
    ],
)
def test_a_limit_that_is_unclear_is_refused(text: str, advice: str) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_limit(text)
    assert advice in refusal.value.advice


# what each is spelled as, in a box of mm; None is "as typed"
@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("9.10", "9.10 mm"),
        (".5mm", "0.5 mm"),
        ('1 3/8"', "1 3/8 in"),
        ("33/32 in", "1 1/32 in"),
        ("16/8 in", "16/8 in"),
        ("2.5 thou", "0.0025 in"),
        ("2½ thou", "2 1/2 thou"),
        ("1/4 thou", "1/4 thou"),
        ("0.038–0.051", "0.038 to 0.051 mm"),
        ("0.0015 to 0.002 in", "0.0015 to 0.0020 in"),
        ("1.8±0.05", "1.8 mm +- 0.05 mm"),
        ("1 mm +- 500", "1 mm +- 500 mm"),
        ("1.8 mm +- 100 um", "1.8 mm +- 0.1 mm"),
        ("1 in +- 0.02 mm", "1 in +- 0.02 mm"),
        ("1 in +- 1/3 in", "1 in +- 1/3 in"),
        ("1 in +- 10.0 mm", "1 in +- 10 mm"),
        ("1 mm +- 10/7 thou", "1 mm +- 36 2/7 um"),
    ],
)
def test_a_spelling_is_canonical(text: str, spelled: str) -> None:
    assert spell(parse_reading(text, unit="mm")) == spelled


@pytest.mark.parametrize(
    ("text", "spelled"),
    [
        ("below .3", "0.3 mm BELOW"),
        ("proud 3 thou", "0.003 in PROUD"),
        ("0.3 ± 0.1 proud", "0.3 mm +- 0.1 mm PROUD"),
        ("flush 0", "FLUSH"),
        ("0.00 flush", "0.00 mm FLUSH"),
        ("flush 0 +- 0.1", "0 mm +- 0.1 mm FLUSH"),
    ],
)
def test_the_spelling_of_a_depth_has_its_word(text: str, spelled: str) -> None:
    assert spell(parse_reading(text, unit="mm", depth=True)) == spelled


@pytest.mark.parametrize(
    ("unit", "text", "spelled"),
    [
        ("count", "7", "7 count"),
        ("1", "0.40", "0.40"),
        ("1", "0.40 +- 0.02", "0.40 +- 0.02"),
        ("1", "40%", "40 %"),
        ("N.m", "45 ft lb", "45 lbf.ft"),
        ("mm^2", "20 mm²", "20 mm^2"),
        ("in", "2 1/2 tenths", "5/20 thou"),
        ("in", "1/999 tenths", "1/999 tenths"),
    ],
)
def test_every_kind_has_a_spelling(unit: str, text: str, spelled: str) -> None:
    assert spell(parse_reading(text, unit=unit)) == spelled


def test_a_value_that_no_typing_can_give_has_no_spelling() -> None:
    """Rather an error than a spelling that reads back as something else."""
    for made in (
        Typed("", F(1), "mm", False, None, F(1, 3000)),
        Typed("", F(1), "mm", False, F(1, 1000003), F(1, 2)),
    ):
        with pytest.raises(BadReading, match=r"^(1 mm to 1/3000|\+- 1/1000003 mm) has no spelling"):
            spell(made)


MM = {"text": "", "unit": "mm", "unit_assumed": False, "plus_minus": None}


@pytest.mark.parametrize(
    "wrong",
    [
        {"exact": F(-1), "half_step": F(1)},
        {"exact": F(1), "half_step": F(0)},
        {"exact": F(1), "half_step": F(-1)},
        {"exact": F(1), "half_step": F(1), "plus_minus": F(0)},
        {"exact": F(1), "half_step": F(1), "plus_minus": F(-1)},
        {"exact": F(-1), "half_step": F(1), "face": "BELOW"},
        {"exact": F(0), "half_step": F(1), "face": "BELOW"},
        {"exact": F(1), "half_step": F(1), "face": "PROUD"},
        {"exact": F(0), "half_step": F(1), "face": "PROUD"},
        {"exact": F(1), "half_step": F(1), "face": "FLUSH"},
        {"exact": F(1), "half_step": F(1), "face": "BELOW", "unit": "psi"},
        {"exact": F(1), "half_step": F(1), "unit": "count"},
        {"exact": F(1), "half_step": F(1), "band": (F(2), F(0))},
        {"exact": F(1), "half_step": F(1), "band": (F(1), F(1))},
        {"exact": F(1), "half_step": F(1), "band": (F(0), F(3))},
    ],
)
def test_a_typed_value_that_contradicts_itself_cannot_be_made(wrong: dict[str, object]) -> None:
    with pytest.raises(BadReading, match=r"\d"):
        Typed(**{**MM, **wrong})  # type: ignore[arg-type]  # wrong on purpose


def test_a_refusal_without_advice_is_its_reason() -> None:
    assert str(BadReading("no")) == "no"
    assert BadReading("no").advice == ""


def printed_by(probe: str) -> str:
    """Return what a fresh interpreter prints, wherever the tests were started."""
    run = subprocess.run(
        [sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return run.stdout.strip()


def test_reading_text_loads_neither_numpy_nor_pint() -> None:
    probe = (
        "import sys; from capture.entry import parse_reading, spell;"
        "spell(parse_reading('1 3/8 in', unit='mm'));"
        "print([m for m in ('numpy', 'pint', 'cv2', 'PIL') if m in sys.modules])"
    )
    assert printed_by(probe) == "[]"


def test_a_length_in_mm_needs_no_pint() -> None:
    probe = "import sys; from capture.entry import parse_length; parse_length('1 in');"
    probe += "print('pint' in sys.modules)"
    assert printed_by(probe) == "False"
