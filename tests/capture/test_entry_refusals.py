"""What a refusal says, in full: what was wrong, then what to type instead."""

from collections.abc import Callable

import pytest

from capture.entry import parse_answer, parse_length, parse_limit, parse_reading
from capture.errors import BadReading

MIL = "mi" + "l"  # never written beside a number in this tree

# box, typed, what was wrong, what to type instead
SENTENCES = [
    ("mm", "", "no number was typed", "type a number such as 12.5 mm"),
    ("mm", "nan", "'nan' does not start with a number", "type a number such as 12.5 mm"),
    ("mm", "-3", "a size has no sign and is never negative", "type the whole size without a sign"),
    ("mm", "1,234", "1,234 may be thousands or a decimal", "type 1.234 or 1234"),
    ("mm", "1,234,567", "1,234,567 may be thousands or a decimal", "type 1234567"),
    ("mm", "34,9, 5", "the comma in 34,9 is not used in this job", "type 34.9"),
    (
        "mm",
        "1.2.3",
        "1.2 is followed by '.' and no figure that goes with it",
        "type one decimal point, with figures behind it, and no thousands marks",
    ),
    (
        "mm",
        "1 234",
        "there is more than one number",
        "type one number and its unit; a fraction as 1 3/8, a band as 0.02 to 0.03",
    ),
    (
        "mm",
        "1/2/3",
        "1/2 goes on with a slash",
        "type a fraction as 17/32 or 1 3/8, without spaces round the slash",
    ),
    ("mm", "1e3", "an exponent is easily mistyped", "write the number out, such as 0.001"),
    ("mm", "\uff11", "'\uff11' (U+FF11) is not a plain figure", "type figures 0 to 9"),
    (
        "mm",
        "9\x07",
        "there is an invisible character (U+0007) in it",
        "type the reading again by hand",
    ),
    (
        "mm",
        "Ø9.1",
        "the character 'Ø' (U+00D8) has no meaning here",
        "type plain figures, letters and the signs . / - + % °",
    ),
    (
        "mm",
        "9" * 101,
        "101 characters are too many for one reading",
        "type one number and its unit",
    ),
    (
        "mm",
        "9999999999999",
        "more than 12 figures in a row are no reading",
        "type the number again",
    ),
    ("mm", "8 mm 9", "there is more than one number", "type one number and one unit"),
    (
        "mm",
        "9.1~",
        "'~' is not known as a unit",
        "type a number such as 12.5 mm; units here are mm, um, cm, in",
    ),
    ("mm", "8 mm in", "'mm in' is more than one unit", "type one of them"),
    (
        "mm",
        "8 furlongs",
        "'furlongs' is not known as a unit",
        "type a number such as 12.5 mm; units here are mm, um, cm, in",
    ),
    (
        "mm",
        f"3 {MIL}",
        f"a {MIL} is 0.001 in to some and 1 mm to others",
        "type thou for 0.001 in, or mm",
    ),
    (
        "mm",
        "2 tenths",
        "a tenth is 0.0001 in to some and 0.1 mm to others",
        "type the number in in, thou, mm or um",
    ),
    ("mm", "8 nM", "'nM' is no unit", "type N.m for a torque"),
    ("mm", "8 Mm", "'Mm' is a megametre", "type mm"),
    ("mm", "63 µ", "'µ' alone is no unit", "type um"),
    ("mm", "5'", "feet are not taken at the bench", "type the length in inches (in) or mm"),
    ("mm", "8 m", "metres are not taken at the bench", "type mm"),
    ("min", "8 m", "'m' is a metre", "type min for minutes"),
    ("min", "8'", "' is feet to some and minutes to others", "type min"),
    ("deg", "8 ′", "minutes of arc are not taken at the bench", "type degrees with decimals"),
    ("min", "2 h 30 min", "there is more than one number", "type one number and one unit"),
    ("min", "2:30", "there is more than one number", "type one number and one unit"),
    (
        "psi/min",
        "3 psi",
        "'psi' is a pressure and a pressure drop per minute is asked for here",
        "type a number such as 12.5 psi/min; a pressure goes where one is asked for",
    ),
    (
        "turn",
        "3 revs",
        "'revs' is not known as a unit",
        "type a number such as 1.5 turns; units here are deg, turn",
    ),
    (
        "mm",
        "20 s",
        "'s' is a time and a length is asked for here",
        "type a number such as 12.5 mm; a time goes where one is asked for",
    ),
    (
        "mm",
        "8 lb",
        "that is a weight and a length is asked for here",
        "type a number such as 12.5 mm",
    ),
    (
        "N.m",
        "8 lb",
        "that is a weight, not a torque or a pressure",
        "type lbf.ft, lbf.in, N.m or psi",
    ),
    (
        "mm",
        "60 Nm",
        "'Nm' is a torque and a length is asked for here",
        "type a number such as 12.5 mm; a torque goes where one is asked for",
    ),
    (
        "mm",
        "17/32",
        f"a fraction without a unit is meant in inches more often than in {MIL}limetres",
        "type the unit behind it: in, or mm",
    ),
    (
        "mm",
        "0.3 below",
        "BELOW belongs to a depth, and this is none",
        "type a number such as 12.5 mm",
    ),
    (
        "mm",
        "1-2",
        "the dash can be read in two ways",
        "type a fraction as 1-5/8, a band as 0.02 to 0.03 with decimals",
    ),
    ("mm", "25 -38", "the dash has a space on one side only", "type a band as 0.02 to 0.03"),
    ("mm", "2.0 to 1.0", "the band does not rise", "type the smaller number first"),
    (
        "mm",
        "1 mm to 2 in",
        "the ends of the band have different units",
        "type one unit, behind both numbers",
    ),
    ("mm", "1.8 +-", "+- stands once, between two numbers", "type it as 1.80 mm +- 0.05 mm"),
    (
        "mm",
        "1-2.0 +- 1",
        "the dash can be read in two ways",
        "type a fraction as 1-5/8, a band as 0.02 to 0.03 with decimals",
    ),
    ("mm", "1.0-2.0 +- 1", "a band already is its own +-", "type the band or the +-, not both"),
    ("mm", "1.8 +- 0", "no measurement is known to +- 0", "leave the +- out"),
    (
        "mm",
        "1.8 +- 1 in",
        "the unit behind the +- may be meant for one number or for both",
        "type a unit behind each number, such as 1.80 mm +- 0.05 mm",
    ),
    ("mm", "1.0-.", "there is no number at the start", "type figures, then the unit"),
    ("N.m", "60 nm", "'nm' is a nanometre", "type N.m for a torque or um for a small length"),
    ("N.m", "60 nM", "'nM' is no unit", "type N.m for a torque"),
    (
        "N.m",
        "60 mm",
        "'mm' is a length and a torque is asked for here",
        "type a number such as 12.5 N.m; a length goes where one is asked for",
    ),
    (
        "in",
        "17\u204432",
        "17/32 may be 1 7/32 that lost its space",
        "type 17/32 or 1 7/32 with a plain slash",
    ),
    (
        "in",
        "1 9/8",
        "1 9/8 has a fraction that is not below 1",
        "type it again with the right fraction, such as 1 3/8",
    ),
    ("in", "1/0", "1/0 divides by nothing", "type the fraction again"),
    ("in", "0/8", "0/8 is nothing", "leave the fraction out"),
    (
        "in",
        "1/1001",
        "1/1001 is finer than any scale (1/1000 at most)",
        "type the number as a decimal",
    ),
    ("count", "2.5", "a count is one whole number", "count again and type it, such as 3"),
    (
        "1",
        "5 mm",
        "'mm' is a length and a ratio is asked for here",
        "type a number such as 0.25; a length goes where one is asked for",
    ),
    ("%", "x", "'x' does not start with a number", "type a number such as 12.5 %"),
]

# asked by, typed, what was wrong, what to type instead
OTHER_SENTENCES = [
    ("depth", "0.3", "a depth needs its side", "type it as 0.30 mm BELOW or PROUD, or FLUSH"),
    ("depth", "-0.3", "a sign on a depth is read in two ways", "type it as 0.30 mm BELOW or PROUD"),
    ("depth", "0 BELOW", "0 is not BELOW", "type FLUSH"),
    ("depth", "0.3 FLUSH", "FLUSH is a depth of 0", "type FLUSH alone, or BELOW or PROUD"),
    (
        "depth",
        "0.3 BELOW x",
        "the face word stands once, before or after the number and its unit",
        "type it as 0.30 mm BELOW",
    ),
    (
        "depth",
        "0.1 to 0.2 BELOW",
        "a depth is one number",
        "type the middle and a +-, as 0.30 mm +- 0.05 mm BELOW",
    ),
    ("answer", "ok", "that is neither yes nor no", "type yes or no"),
    ("length", "0", "a length of 0 cannot be used here", "type the measured length"),
    (
        "limit",
        "half",
        "that is not a limit",
        (
            "type one of covered, covered of near, covered of far, pin, open area, then <, "
            "<=, > or >=, then the value"
        ),
    ),
    (
        "limit",
        "covered < 0.4 +- 0.1",
        "a limit is one number",
        "type it without +- and without a band",
    ),
    ("limit", "pin >= 3", "the limit has no unit", "type 3 mm"),
    ("limit", "covered < 45", "a fraction is below 1", "type 45 % if per cent is meant"),
    ("limit", "covered < 101 %", "no more than all of a hole can be covered", "type 0 % to 100 %"),
]
PARSERS: dict[str, Callable[[str], object]] = {
    "depth": lambda text: parse_reading(text, unit="mm", depth=True),
    "answer": parse_answer,
    "length": parse_length,
    "limit": parse_limit,
}


@pytest.mark.parametrize(("box", "text", "reason", "advice"), SENTENCES)
def test_a_refused_reading_is_told_why_and_what_to_type(
    box: str, text: str, reason: str, advice: str
) -> None:
    with pytest.raises(BadReading) as refusal:
        parse_reading(text, unit=box)
    assert (refusal.value.reason, refusal.value.advice) == (reason, advice)
    assert str(refusal.value) == f"{reason}; {advice}"


@pytest.mark.parametrize(("asked_by", "text", "reason", "advice"), OTHER_SENTENCES)
def test_a_refused_answer_is_told_why_and_what_to_type(
    asked_by: str, text: str, reason: str, advice: str
) -> None:
    with pytest.raises(BadReading) as refusal:
        PARSERS[asked_by](text)
    assert (refusal.value.reason, refusal.value.advice) == (reason, advice)
    assert str(refusal.value) == f"{reason}; {advice}"
