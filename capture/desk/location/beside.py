"""What stands beside a reading: the gauge, the spot, the side that was chosen, and the rest."""

import re
from fractions import Fraction
from typing import Any, NamedTuple

from annotate.quantity import Quantity
from capture.entry import parse_reading
from capture.errors import BadReading
from store.characteristic import Doubt, Spot
from store.evidence import Zero

_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_DEGREES = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*(?:°|deg)?\s*([CF]?)\s*", re.IGNORECASE)


class Beside(NamedTuple):
    """All that is filed with the text in the box.

    ``side`` is the word that a bare number is given: BELOW or PROUD of a depth, bigger or smaller
    of a difference. ``passed`` is the pin that passed, typed before the one that stopped.
    ``wants_zero`` says that the gauge reads a difference and nobody said from what.
    ``not_again`` is a torque that was read by the wrong scale and is to be done again.
    """

    gauge: str = ""
    spot: Spot = Spot()
    side: str = ""
    passed: str = ""
    zero: Zero | None = None
    doubts: tuple[Doubt, ...] = ()
    part_c: float | None = None
    gauge_c: float | None = None
    photos: tuple[str, ...] = ()
    read_at: str = ""
    not_again: Fraction | None = None
    wants_zero: bool = False

    @property
    def zero_asked(self) -> str:
        """What has to be said before anything can be read, empty if nothing has."""
        return f"Say what {self.gauge} was zeroed to (F10)" if self.wants_zero else ""

    def filed(self) -> dict[str, Any]:
        """Return what goes with the text to ``read_of`` and to ``Journey.reading``."""
        return {
            "gauge": self.gauge, "spot": self.spot, "zero": self.zero, "doubts": self.doubts,
            "part_c": self.part_c, "gauge_c": self.gauge_c, "photos": self.photos,
            "read_at": self.read_at,
        }  # fmt: skip


def read_earlier(text: str, today: str) -> str:
    """Return when a reading was taken, in words; refuses a day that has not been yet."""
    said = text.strip()
    if _ISO_DAY.match(said) and said[:10] > today[:10]:
        raise BadReading(f"{said[:10]} is still to come", "say the day on which it was read")
    return said


def read_doubt(width: str, what: str, *, unit: str, decimal_comma: bool) -> Doubt | None:
    """Return the doubt of "0.002 mm" and "parting line", None where both are empty.

    Raises BadReading.
    """
    if not width.strip() and not what.strip():
        return None
    if not width.strip() or not what.strip():
        raise BadReading("a doubt is how much and what", "type both, or neither")
    typed = parse_reading(width.strip().removeprefix("+-"), unit=unit, decimal_comma=decimal_comma)
    if typed.exact <= 0:
        raise BadReading("a doubt of 0 is none", "leave it out")
    return Doubt(what.strip(), Quantity(float(typed.exact), typed.unit))


def read_temperature(text: str, of_what: str) -> float | None:
    """Return degrees Celsius of "21.5", "21.5 C" or "70 F", None of nothing; raises BadReading."""
    if not text.strip():
        return None
    match = _DEGREES.fullmatch(text)
    if not match:
        raise BadReading(
            f"{text!r} is no temperature of the {of_what}", "type it as 21.5 C or 70 F"
        )
    degrees = float(match[1].replace(",", "."))
    return round((degrees - 32) / 1.8, 2) if match[2].upper() == "F" else degrees
