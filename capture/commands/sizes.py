"""benchproof sizes: which standard sizes a measured diameter may be."""

import argparse
from typing import TYPE_CHECKING, get_args

from capture.commands.typed_options import add_json

if TYPE_CHECKING:
    from collections.abc import Iterable

    from annotate.quantity import Quantity
    from capture.edge import Edge
    from capture.sizes.nearest import Meant
    from capture.sizes.series import Series

EXAMPLES = """  benchproof sizes "31.74 mm"
  benchproof sizes "1.247 in" --gauge-error "0.002 in"
  benchproof sizes "0.257 in" --series "letter drill" --series inch"""

_MOST = 20


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("length", metavar="LENGTH", help="as measured, with its unit")
    add_gauge_error(parser)
    parser.add_argument(
        "--series", metavar="NAME", action="append",
        help="of inch, metric, number drill, letter drill, pipe thread (default: inch and metric)",
    )  # fmt: skip
    parser.add_argument(
        "--count", metavar="N", type=int, choices=range(1, _MOST + 1), default=3,
        help=f"how many, 1 to {_MOST} (default: 3)",
    )  # fmt: skip
    add_json(parser)


def add_gauge_error(parser: argparse.ArgumentParser) -> None:
    """Add --gauge-error."""
    parser.add_argument(
        "--gauge-error", metavar="LENGTH", help="the most that the gauge may be wrong by"
    )


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - every verb is given it
    """Print the sizes, the likeliest first."""
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.typed_options import typed_length  # noqa: PLC0415 - the same
    from capture.sizes.nearest import nearest  # noqa: PLC0415 - the same

    typed, assumed = typed_length(given.length, "LENGTH")
    measured = with_gauge_error(typed, given.gauge_error)
    found = nearest(measured, given.count, _series(given.series))
    if given.json:
        from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

        say_json({"measured": quantity_answer(measured), "sizes": sizes_answer(found)})
        return DONE
    for line in assumed:
        warn(line)
    say("the odds are those of each size if it is one of these")
    for size in found:
        say(size_line(size))
    if not any(size.agrees for size in found):
        say("none of them fits what was measured: measure again, or it is no standard size")
    return DONE


def with_gauge_error(measured: "Quantity", typed: str | None) -> "Quantity":
    """Return a measured length with the gauge's own error in its uncertainty.

    The most it may be wrong by is the half width of a rectangular distribution (JCGM 100:2008
    4.3.7), and independent of the rest.
    """
    from math import hypot, sqrt  # noqa: PLC0415 - not for a mere --help

    from annotate.quantity import Quantity  # noqa: PLC0415 - the same
    from capture.commands.typed_options import typed_length  # noqa: PLC0415 - the same

    if typed is None:
        return measured
    error = typed_length(typed, "--gauge-error")[0].value
    return Quantity(measured.value, measured.unit, u=hypot(measured.u, error / sqrt(3)))


def _series(named: list[str] | None) -> "tuple[Series, ...]":
    from capture.errors import WrongUse  # noqa: PLC0415 - not for a mere --help
    from capture.sizes.series import USUAL, Series  # noqa: PLC0415 - the same

    known: tuple[Series, ...] = get_args(Series)
    for name in named or ():
        if name not in known:
            raise WrongUse(f"--series {name!r} is not one of {', '.join(known)}")
    return tuple(series for series in known if series in named) if named else USUAL


def size_line(size: "Meant") -> str:
    """Return one size, how far the measured one is from it, and the odds that it is meant."""
    side = "above" if size.away_mm >= 0 else "below"
    names = size.name if size.name.endswith(" mm") else f"{size.name} ({float(size.mm):.3f} mm)"
    fits = "" if size.agrees else ", too far off for what was measured"
    return (
        f"{names}: measured {abs(size.away_mm):.3f} mm {side} it, "
        f"odds {_share_text(size.probability)}{fits}"
    )


def _share_text(share: float) -> str:
    """Return "97 %"; never that it is certain, nor that it can't be."""
    return f"{100 * min(max(share, 0.001), 0.999):.3g} %"


def sizes_answer(sizes: "Iterable[Meant]") -> list[dict[str, object]]:
    """Return sizes for a program."""
    return [
        {
            "name": size.name,
            "mm": float(size.mm),
            "probability": size.probability,
            "away_mm": size.away_mm,
            "agrees": size.agrees,
        }
        for size in sizes
    ]
