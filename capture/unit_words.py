"""The unit words that may be typed, what each is exactly, and those that are refused and why.

A word is one exact number of one unit of annotate.quantity.UNITS ("thou" is 1/1000 of "in").
Sizes of units are the exact definitions: inch 25.4 mm and pound 0.45359237 kg (1959 agreement),
standard acceleration 9.80665 m/s2 (NIST SP 811 appendix B); a test compares them with pint. A turn
is 360 degrees, which is exact where a turn in radians is not.
"""

import re
from fractions import Fraction

from msgspec import Struct

from capture.errors import BadReading, WrongUse

INCH_MM = Fraction("25.4")
POUND_FORCE_N = Fraction("0.45359237") * Fraction("9.80665")
THOU = Fraction(1, 1000)
TENTH = Fraction(1, 10000)

# spelling of annotate.quantity -> (kind, size in the kind's base unit)
SIZES: dict[str, tuple[str, Fraction]] = {
    "1": ("ratio", Fraction(1)),
    "%": ("ratio", Fraction(1, 100)),
    "mm": ("length", Fraction(1)),
    "um": ("length", Fraction(1, 1000)),
    "cm": ("length", Fraction(10)),
    "in": ("length", INCH_MM),
    "mm^2": ("area", Fraction(1)),
    "in^2": ("area", INCH_MM**2),
    "deg": ("angle", Fraction(1)),
    "turn": ("angle", Fraction(360)),
    "N.m": ("torque", Fraction(1)),
    "lbf.ft": ("torque", POUND_FORCE_N * 12 * INCH_MM / 1000),
    "lbf.in": ("torque", POUND_FORCE_N * INCH_MM / 1000),
    "kPa": ("pressure", Fraction(1)),
    "bar": ("pressure", Fraction(100)),
    "psi": ("pressure", POUND_FORCE_N / (INCH_MM / 1000) ** 2 / 1000),
    "s": ("time", Fraction(1)),
    "min": ("time", Fraction(60)),
    "h": ("time", Fraction(3600)),
    "kPa/min": ("pressure per time", Fraction(1)),
    "psi/min": ("pressure per time", POUND_FORCE_N / (INCH_MM / 1000) ** 2 / 1000),
    "count": ("count", Fraction(1)),
}
METRIC_LENGTHS = {"mm", "um", "cm"}
EXAMPLES = {"1": "0.25", "count": "3", "turn": "1.5 turns"}
_NAMED = {
    "ratio": "a ratio", "length": "a length", "area": "an area", "angle": "an angle",
    "torque": "a torque", "pressure": "a pressure", "count": "a count", "time": "a time",
    "pressure per time": "a pressure drop per minute",
}  # fmt: skip


class UnitWord(Struct, frozen=True):
    """A word for ``scale`` times ``unit``."""

    unit: str
    scale: Fraction = Fraction(1)


def _spellings() -> dict[str, UnitWord]:
    """Return every word by its key: small letters, one point between the parts of a unit."""
    listed: dict[str, UnitWord] = {}
    plain = {
        "mm": "mm millimetre millimetres millimeter millimeters",
        "um": "um micron microns micrometre micrometres micrometer micrometers",
        "cm": "cm centimetre centimetres centimeter centimeters",
        "in": "in inch inches \" ''",
        "mm^2": "mm^2 mm2 sq.mm",
        "in^2": "in^2 in2 sq.in",
        "deg": "deg degree degrees °",
        "turn": "turn turns",
        "s": "s sec secs second seconds",
        "min": "min mins minute minutes",
        "h": "h hr hrs hour hours",
        "%": "% percent per.cent",
        "N.m": "n.m newton.metre newton.metres newton.meter newton.meters",
        "psi": "psi",
        "bar": "bar",
        "kPa": "kpa",
        "kPa/min": "kpa/min kpa/minute kpa.per.min kpa.per.minute",
        "psi/min": "psi/min psi/minute psi.per.min psi.per.minute",
        "count": "count",
    }
    for unit, words in plain.items():
        listed |= dict.fromkeys(words.split(), UnitWord(unit))
    listed |= dict.fromkeys(("thou", "thous"), UnitWord("in", THOU))
    listed |= dict.fromkeys(("tenth", "tenths"), UnitWord("in", TENTH))
    pounds = ("lb", "lbs", "lbf", "pound", "pounds")
    for unit, arms in (("lbf.ft", "ft foot feet"), ("lbf.in", "in inch inches")):
        for arm in arms.split():
            for pound in pounds:
                for key in (f"{pound}.{arm}", f"{arm}.{pound}", f"{pound}{arm}", f"{arm}{pound}"):
                    listed[key] = UnitWord(unit)
    return listed


_WORDS = _spellings()
# Spellings in which a capital letter makes another unit of it.
_AS_TYPED = {"Nm": UnitWord("N.m"), "NM": UnitWord("N.m")}
_CASE_TRAPS = {
    "nm": ("'nm' is a nanometre", "type N.m for a torque or um for a small length"),
    "nM": ("'nM' is no unit", "type N.m for a torque"),
    "Mm": ("'Mm' is a megametre", "type mm"),
    "mM": ("'mM' is no unit", "type mm"),
}
_MIL = (
    "a mil is 0.001 in to some and 1 mm to others",
    "type thou for 0.001 in, or mm",
)
_WEIGHT = ("that is a weight, not a torque or a pressure", "type lbf.ft, lbf.in, N.m or psi")
_FOOT = ("feet are not taken at the bench", "type the length in inches (in) or mm")
_METRE = ("metres are not taken at the bench", "type mm")
# What a word that is refused as a length means in a box of another kind.
_REFUSED_IN = {
    ("m", "time"): ("'m' is a metre", "type min for minutes"),
    ("'", "time"): ("' is feet to some and minutes to others", "type min"),
    ("'", "angle"): ("minutes of arc are not taken at the bench", "type degrees with decimals"),
}
_REFUSED = {
    "mil": _MIL, "mils": _MIL,
    "lb": _WEIGHT, "lbs": _WEIGHT, "lbf": _WEIGHT, "pound": _WEIGHT, "pounds": _WEIGHT,
    "kg": _WEIGHT, "g": _WEIGHT, "oz": _WEIGHT,
    "ft": _FOOT, "foot": _FOOT, "feet": _FOOT, "'": _FOOT,
    "m": _METRE, "metre": _METRE, "metres": _METRE, "meter": _METRE, "meters": _METRE,
    "u": ("'µ' alone is no unit", "type um"),
}  # fmt: skip


def kind_of(unit: str) -> str:
    """Return the kind ("length") of a unit that can be asked for; raises WrongUse."""
    if unit not in SIZES:
        raise WrongUse(f"nothing can be typed in {unit!r}; units are {', '.join(SIZES)}")
    return SIZES[unit][0]


def find_unit_word(words: str, *, asked: str) -> UnitWord:
    """Return what the words behind a number mean, where ``asked`` is the unit of the box.

    Raises BadReading for words that are unknown, ambiguous, two units, or of another kind.
    """
    found = _AS_TYPED.get(words)
    if found is None:
        key = re.sub(r" ?/ ?", "/", words.removesuffix(".").casefold())
        key = re.sub(r"[ .·*-]+", ".", key)
        found = _WORDS.get(key)
        if found is None or words in _CASE_TRAPS:
            raise _refusal(words, key, asked)
    kind, asked_kind = SIZES[found.unit][0], kind_of(asked)
    if kind != asked_kind:
        raise BadReading(
            f"{words!r} is {_NAMED[kind]} and {_NAMED[asked_kind]} is asked for here",
            f"type {example(asked)}; {_NAMED[kind]} goes where one is asked for",
        )
    if found.scale == TENTH and asked != "in":
        raise BadReading(
            "a tenth is 0.0001 in to some and 0.1 mm to others",
            "type the number in in, thou, mm or um",
        )
    return found


def example(unit: str) -> str:
    """Return "a number such as 12.5 mm" for a refusal's advice."""
    return f"a number such as {EXAMPLES.get(unit) or f'12.5 {unit}'}"


def _refused_anywhere(key: str, asked: str) -> BadReading:
    """Return why a word of _REFUSED is no unit in this box; a weight may be meant as a torque."""
    kind = kind_of(asked)
    if _REFUSED[key] is _WEIGHT and kind not in {"torque", "pressure"}:
        return BadReading(
            f"that is a weight and {_NAMED[kind]} is asked for here", f"type {example(asked)}"
        )
    return BadReading(*_REFUSED[key])


def _refusal(words: str, key: str, asked: str) -> BadReading:
    """Return why these words are no unit here, and what to type instead."""
    if words in _CASE_TRAPS:
        return BadReading(*_CASE_TRAPS[words])
    if (key, kind_of(asked)) in _REFUSED_IN:
        return BadReading(*_REFUSED_IN[key, kind_of(asked)])
    if key in _REFUSED:
        return _refused_anywhere(key, asked)
    if re.search(r"(?<![a-z0-9^])[0-9]", key):
        return BadReading("there is more than one number", "type one number and one unit")
    parts = [part for part in re.split(r"[ .]+", key) if part]
    if len(parts) > 1 and all(part in _WORDS or part in _REFUSED for part in parts):
        return BadReading(f"{words!r} is more than one unit", "type one of them")
    known = ", ".join(unit for unit, (kind, _) in SIZES.items() if kind == kind_of(asked))
    return BadReading(
        f"{words!r} is not known as a unit", f"type {example(asked)}; units here are {known}"
    )
