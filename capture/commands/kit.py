"""benchproof kit: the kit list, and what was really counted in it."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from capture.journey import Journey
    from store.stock import KitState

EXAMPLES = """  benchproof kit job-12
  benchproof kit job-12 core-plugs counted 5 --size "41.30 mm"
  benchproof kit job-12 shells counted 9 --note "one box was open" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "line", metavar="LINE", nargs="?", help="the line's id; left out, all are listed"
    )
    parser.add_argument("act", metavar="counted", nargs="?", choices=("counted",), help="counted")
    parser.add_argument("count", metavar="N", nargs="?", type=int, help="how many there are")
    parser.add_argument("--size", metavar="LENGTH", help="a size measured on a piece, or read off")
    parser.add_argument("--note", metavar="WORDS", default="", help="anything else to be kept")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List the kit, or say how many pieces a line really holds."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.stock_answer import kit_answer  # noqa: PLC0415 - the same

    if (given.act is None) != (given.count is None):
        raise WrongUse("say how many: kit BOOK LINE counted N")
    with opened(given.book, edge, read_only=given.act is None) as journey:
        _refuse_unknown(given.line, journey)
        if given.act:
            _count(given, journey)
        walked = journey.round()
    lines = [line for line in walked.kit if given.line in {None, line.line.id}]
    if given.json:
        say_json({"kit": [kit_answer(line) for line in lines]})
        return DONE
    for line in lines:
        say(kit_line(line))
    if not lines:
        say("the plan has no kit list")
    for sentence in walked.counts_open if given.act else ():
        warn(f"count: {sentence}")
    return DONE


def kit_line(state: "KitState") -> str:
    """Return a line of the kit: the packing, the count, what is wanted and what went on."""
    from capture.words.quantities import given_text, quantity_text  # noqa: PLC0415 - slow
    from store.evidence import KitCounted  # noqa: PLC0415 - not for a mere --help

    line = state.line
    size = f", {given_text(line.size)}" if line.size else ""
    parts = [f"{line.id}  {line.name}{size}: {line.count} by the packing"]
    counted = state.counted.record if state.counted else None
    if isinstance(counted, KitCounted):
        measured = f" ({quantity_text(counted.size)}{_beside(state)})" if counted.size else ""
        parts.append(f"{counted.count} counted{measured}")
    else:
        parts.append("not counted")
    parts += [f"{state.wanted} wanted", f"{state.fitted} fitted"]
    return ", ".join(parts)


def _beside(state: "KitState") -> str:
    """Return how far the size of a piece is from the packing's: a kit can hold the wrong one."""
    from annotate.quantity import Quantity  # noqa: PLC0415 - loads numpy
    from capture.words.quantities import given_text  # noqa: PLC0415 - slow

    counted = getattr(state.counted, "record", None)
    size, packing = getattr(counted, "size", None), state.line.size
    if size is None or packing is None:
        return ""
    apart = round(size.to(packing.unit).value - packing.value, 4)
    if apart == 0:
        return ", as the packing says"
    gap = given_text(Quantity(abs(apart), packing.unit))
    return f", {gap} {'bigger' if apart > 0 else 'smaller'} than the packing says"


def _refuse_unknown(line: str | None, journey: "Journey") -> None:
    ids = [each.id for each in journey.plan.kit]
    if line is not None and line not in ids:
        raise WrongUse(f"no kit line {line!r} in this job; there are {', '.join(ids) or 'none'}")


def _count(given: argparse.Namespace, journey: "Journey") -> None:
    from capture.entry import parse_reading, quantity_of  # noqa: PLC0415 - not for a mere --help

    size = None
    if given.size:
        unit = "in" if journey.plan.job.units == "US" else "mm"
        comma = journey.plan.job.decimal_comma
        size = quantity_of(parse_reading(given.size, unit=unit, decimal_comma=comma))
    journey.count_kit(given.line, given.count, size=size, words=given.note)
