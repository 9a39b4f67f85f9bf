"""benchproof card: a scale card to print, and how large a print of it really is."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capture.commands.typed_options import add_json, typed_length
from capture.errors import WrongUse

if TYPE_CHECKING:
    from annotate.quantity import Quantity
    from capture.edge import Edge
    from capture.print_scale import PrintScale

EXAMPLES = """  benchproof card
  benchproof card -o card.pdf --paper letter
  benchproof card --printed "99.7 mm"
  benchproof card --printed "99.72 mm +- 0.03 mm" "99.86 mm +- 0.03 mm" --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "-o", "--output", metavar="PDF", type=Path, help="where to write it (card.pdf)"
    )
    parser.add_argument("--paper", choices=("a4", "letter"), help="what is printed on (a4)")
    parser.add_argument(
        "--printed", metavar="LENGTH", nargs="+",
        help="the bars of a print as measured, across and then down: writes nothing, tells the "
        "true sizes of its markers",
    )  # fmt: skip
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Write the card, or say how large the markers of a print are."""
    if given.printed is None:
        return _write(given, edge)
    if given.output or given.paper:
        raise WrongUse("--printed is about a print that is there: leave -o and --paper out with it")
    return _tell(given)


def _write(given: argparse.Namespace, edge: "Edge") -> int:
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.report import refuse_to_destroy  # noqa: PLC0415 - the same
    from store.report.targets import write_card  # noqa: PLC0415 - the same

    out = given.output or Path("card.pdf")
    refuse_to_destroy(out)
    written = write_card(out.resolve(), at=edge.clock(), paper=given.paper or "a4")
    if given.json:
        say_json({"card": str(written)})
        return DONE
    say(f"card {written}")
    say('print it at 100 %, measure its two bars, then: benchproof card --printed "LENGTH" '
        '"LENGTH"')  # fmt: skip
    return DONE


def _tell(given: argparse.Namespace) -> int:
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.print_scale import print_scale  # noqa: PLC0415 - the same

    bars, noted = _bars(given.printed)
    scale = print_scale(bars)
    noted += scale.noted
    if given.json:
        say_json(_answer(scale, noted))
        return DONE
    say(f"this print is at {scale.factor * 100:.2f} % of the page")
    for name, stated_mm in _markers():
        say(f'{name:<12}{stated_mm:>4g} mm   --marker "{_typed(scale.printed(stated_mm))}"')
    for words in noted:
        say(f"note  {words}")
    return DONE


def _bars(texts: list[str]) -> "tuple[list[Quantity], tuple[str, ...]]":
    if len(texts) > 2:  # noqa: PLR2004 - the card has two bars
        raise WrongUse(f"--printed takes the two bars of a print and {len(texts)} were given: "
                       "across, then down")  # fmt: skip
    bars, noted = [], list[str]()
    for text, where in zip(texts, ("across", "down"), strict=False):
        bar, assumed = typed_length(text, f"bar {where}")
        bars.append(bar)
        noted += assumed
    return bars, tuple(noted)


def _markers() -> list[tuple[str, float]]:
    from annotate.own_targets import CARD_MM, TAG_MM  # noqa: PLC0415 - not for a mere --help

    card = [(f"marker {identifier}", stated_mm) for identifier, stated_mm in CARD_MM.items()]
    return [*card, ("every tag", TAG_MM)]


def _typed(side: "Quantity") -> str:
    """Return a size as it is typed for --marker; its +- is the half width that gives its u."""
    return f"{side.value:.2f} mm +- {max(side.u * 3**0.5, 0.01):.2f} mm"


def _answer(scale: "PrintScale", noted: tuple[str, ...]) -> dict[str, Any]:
    from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

    return {
        "factor": scale.factor,
        "markers": [
            {
                "name": name,
                "stated_mm": stated_mm,
                "printed": quantity_answer(scale.printed(stated_mm)),
                "type": _typed(scale.printed(stated_mm)),
            }
            for name, stated_mm in _markers()
        ],
        "warnings": list(noted),
    }
