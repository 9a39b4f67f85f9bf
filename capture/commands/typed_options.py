"""Options that several verbs share, and typed text -> what they mean."""

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

if TYPE_CHECKING:
    from annotate.quantity import Quantity

Pair = tuple[float, float]

_BOARD = re.compile(r"\s*(\d{1,3})\s*[x×]\s*(\d{1,3})\s*[x×]\s*(\S.*)", re.IGNORECASE)  # noqa: RUF001 - typed
_SIGN = re.compile(r"\s*([-+\u2212])(?!-)")
_PAIR = re.compile(r"\s*([-+]?\d+(?:\.\d*)?)\s*,\s*([-+]?\d+(?:\.\d*)?)\s*")

# No lens that shows straight lines straight is outside: 35 mm equivalents.
_WIDEST_MM, _LONGEST_MM = 8.0, 5000.0


def pixel_pair(text: str) -> Pair:
    """Return (x, y) of "412,380.5", in pixels of the upright picture."""
    match = _PAIR.fullmatch(text)
    if not match:
        raise argparse.ArgumentTypeError(f"{text!r} is not X,Y in pixels, as 412,380")
    return float(match[1]), float(match[2])


def pixel_pairs(text: str) -> tuple[Pair, ...]:
    """Return the points of "x,y x,y ..."."""
    return tuple(pixel_pair(part) for part in re.sub(r"\s*,\s*", ",", text).split())


def focal_mm(text: str) -> float:
    """Return a 35 mm equivalent focal length in mm."""
    try:
        focal = float(text)
    except ValueError:
        focal = 0.0
    if not 0 < focal <= _LONGEST_MM:
        raise argparse.ArgumentTypeError(f"{text!r} is no focal length in mm, as 26")
    if focal < _WIDEST_MM:
        # What is printed on a phone's lens is its own focal length, 4 to 7 mm.
        raise argparse.ArgumentTypeError(
            f"{text!r} mm is wider than any camera that draws straight lines straight: type the "
            f"35 mm equivalent, as 26, not the lens's own focal length, or leave it out"
        )
    return focal


def positive(text: str) -> float:
    """Return a number above 0."""
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number < 1e6:  # noqa: PLR2004 - also refuses NaN and infinity
        raise argparse.ArgumentTypeError(f"{text!r} is no number above 0, as 0.5")
    return number


def add_book(parser: argparse.ArgumentParser) -> None:
    """Add BOOK."""
    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")


def add_by(parser: argparse.ArgumentParser) -> None:
    """Add --by, the name that is filed with what is done."""
    parser.add_argument(
        "--by", metavar="NAME", help="who does this (default: $BENCHPROOF_BY, else your login)"
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add --json."""
    parser.add_argument("--json", action="store_true", help="answer with one JSON object")


def add_lens(parser: argparse.ArgumentParser) -> None:
    """Add --lens."""
    parser.add_argument(
        "--lens", metavar="PROFILE", type=Path, help="this camera's profile, made by the verb lens"
    )


def typed_board(text: str) -> "tuple[int, int, Quantity, tuple[str, ...]]":
    """Return inner corners along and across and the square's side in mm, and what was assumed.

    Raises WrongUse for text that is not COLSxROWSxSQUARE.
    """
    match = _BOARD.fullmatch(text)
    if not match:
        from capture.errors import WrongUse  # noqa: PLC0415 - only to refuse

        raise WrongUse(
            f'--chessboard {text!r} is not COLSxROWSxSQUARE, as "7x5x5 mm": inner '
            "corners along, inner corners across, side of a square"
        )
    size, noted = typed_length(match[3], "--chessboard square")
    return int(match[1]), int(match[2]), size, noted


def typed_length(text: str, what: str) -> "tuple[Quantity, tuple[str, ...]]":
    """Return a typed length in mm, and in words what was assumed of it.

    Raises WrongUse, naming the option, for text that is not one length above 0.
    """
    return _typed(text, what, of_something=True)


def typed_offset(text: str, what: str) -> "tuple[Quantity, tuple[str, ...]]":
    """Return a typed length in mm that may be 0, or below with a minus before it, as typed_length.

    What a box takes has no sign, so that a dash before a reading is never one: here it is asked.
    """
    signed = _SIGN.match(text)
    length, assumed = _typed(text[signed.end() :] if signed else text, what)
    if signed and signed[1] != "+":
        length = replace(length, value=-length.value)
    return length, assumed


def _typed(
    text: str, what: str, *, of_something: bool = False
) -> "tuple[Quantity, tuple[str, ...]]":
    from capture.entry import parse_reading, quantity_of  # noqa: PLC0415 - many verbs type none
    from capture.errors import BadReading, WrongUse  # noqa: PLC0415 - the same

    try:
        typed = parse_reading(text, unit="mm")
    except BadReading as refused:
        raise WrongUse(f"{what} {text!r}: {refused}") from refused
    if of_something and typed.exact <= 0:
        raise WrongUse(f"{what} {text!r}: a length of 0 cannot be used, type the measured one")
    if of_something and typed.plus_minus is not None and typed.plus_minus >= typed.exact:
        raise WrongUse(
            f"{what} {text!r}: with a +- as large as itself it may as well be nothing; type the +- "
            "that it is known to"
        )
    assumed = []
    if typed.unit_assumed:
        assumed.append(f"{what} {text.strip()!r} has no unit: unit assumed, mm")
    if typed.plus_minus is None and typed.band is None:
        half = f"{_plain(float(typed.half_step))} {typed.unit}"
        assumed.append(f"{what} has no +-: taken as rounded, +- {half} (half its last step)")
    quantity = quantity_of(typed)
    return quantity if quantity.unit == "mm" else quantity.to("mm"), tuple(assumed)


def _plain(number: float) -> str:
    """Return a number of four figures as a person writes it, without an exponent."""
    text = f"{number:.4g}"
    return text if "e" not in text else f"{number:.12f}".rstrip("0").rstrip(".")
