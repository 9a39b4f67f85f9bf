"""benchproof kit: the kit list, and what was really counted in it."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from capture.journey import Journey

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
    from capture.words.stock import kit_line  # noqa: PLC0415 - the same

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
