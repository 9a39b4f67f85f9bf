"""Typed words of ``benchproof reading`` -> spot, doubt, temperature."""

import re
from collections.abc import Sequence

from annotate.quantity import Quantity
from capture.entry import parse_reading
from capture.errors import BadReading, WrongUse
from capture.words.checks import spot_text
from store.characteristic import Characteristic, Doubt, Spot

_REPEAT = re.compile(r"(?:#|(?<![a-z])no\.)\s*(\d+)", re.IGNORECASE)
_DEGREES = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*(?:°|deg)?\s*([CF]?)\s*", re.IGNORECASE)


def spots_named(check: Characteristic, text: str) -> tuple[Spot, ...]:
    """Return the spots of a grid that "top, across", "across" or "top #2" may mean, in order.

    Raises WrongUse naming those there are, for words that fit none.
    """
    repeat = _REPEAT.search(text)
    words = [word.strip() for word in _REPEAT.sub("", text).split(",") if word.strip()]
    found = tuple(
        spot
        for spot in check.spots
        if all(word.casefold() in _names_of(spot) for word in words)
        and (repeat is None or spot.repeat == int(repeat[1]))
    )
    if not found or not (words or repeat):
        raise WrongUse(f"--spot {text!r} is not in the grid of {check.id}: {spots_there(check)}")
    return found


def _names_of(spot: Spot) -> tuple[str, str]:
    return spot.position.casefold(), spot.axis.casefold()


def spots_there(check: Characteristic) -> str:
    """Return what a spot of a grid may be called: "top, mid; across, along; #1 to #2"."""
    words = [", ".join(names) for names in (check.positions, check.axes) if names]
    if check.repeats > 1:
        words.append(f"#1 to #{check.repeats}")
    return "it has " + "; ".join(words) if words else "it has one reading"


def spots_in_turn(
    check: Characteristic, key: str, missing: Sequence[Spot], text: str, many: int
) -> list[Spot]:
    """Return where so many readings of a grid go: the next without one, or from ``text`` on.

    What is there already is not read again unasked. Raises WrongUse where they don't fit.
    """
    free = list(missing)
    if text:
        first = next_of(check, spots_named(check, text), missing, text)
        later = check.spots[check.spots.index(first) + 1 :]
        free = [first, *(spot for spot in later if spot in missing)]
    if not free:
        raise WrongUse(
            f"all {len(check.spots)} readings of {key} are there: to read one again say which, as "
            f'--spot "{spot_typed(check, check.spots[0])}"'
        )
    if many > len(free):
        there = "; ".join(spot_text(spot) for spot in free)
        raise WrongUse(f"{many} readings were typed, and {key} waits for {len(free)}: {there}")
    return free[:many]


def next_of(
    check: Characteristic, spots: Sequence[Spot], missing: Sequence[Spot], text: str
) -> Spot:
    """Return the first of some spots that has no reading, or the only one, to be read again.

    Raises WrongUse where all have one and it is not said which is meant.
    """
    due = [spot for spot in spots if spot in missing]
    if due or len(spots) == 1:
        return (due or list(spots))[0]
    raise WrongUse(
        f"all readings at {text!r} are there: say which one to read again, such as "
        f'--spot "{spot_typed(check, spots[0])}"'
    )


def spot_typed(check: Characteristic, spot: Spot) -> str:
    """Return a spot of a grid as --spot takes it: "top,across #2"."""
    where = ",".join(word for word in (spot.position, spot.axis) if word)
    return f"{where} #{spot.repeat}".strip() if check.repeats > 1 else where


def read_doubt(text: str, unit: str, *, decimal_comma: bool) -> Doubt:
    """Return the doubt of "0.002 mm: parting line"; raises WrongUse naming the option."""
    width, colon, what = text.partition(":")
    if not colon or not what.strip():
        raise WrongUse(f'--doubt {text!r}: say how much and what, as "0.002 mm: parting line"')
    try:
        typed = parse_reading(width.removeprefix("+-"), unit=unit, decimal_comma=decimal_comma)
    except BadReading as refused:
        raise WrongUse(f"--doubt {text!r}: {refused}") from refused
    if typed.exact <= 0:
        raise WrongUse(f"--doubt {text!r}: a doubt of 0 is none, leave it out")
    return Doubt(what.strip(), Quantity(float(typed.exact), typed.unit))


def read_temperature(text: str, option: str) -> float:
    """Return degrees Celsius of "21.5", "21.5 C" or "70 F"; raises WrongUse naming the option."""
    match = _DEGREES.fullmatch(text)
    if not match:
        raise WrongUse(f'{option} {text!r} is no temperature: type it as "21.5 C" or "70 F"')
    degrees = float(match[1].replace(",", "."))
    return round((degrees - 32) / 1.8, 2) if match[2].upper() == "F" else degrees
