"""benchproof part: the parts of the job, and which piece went on as each."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof part job-12
  benchproof part job-12 piston-1 fitted --piece "stamped 3, weight 412 g"
  benchproof part job-12 shell-2 fitted --piece "box 2, tab B" --photo shell.jpg"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "part", metavar="PART", nargs="?", help="the part's id; left out, all are listed"
    )
    parser.add_argument("act", metavar="fitted", nargs="?", choices=("fitted",), help="it went on")
    parser.add_argument(
        "--piece", metavar="IDENTITY", help="what tells this piece from another: number, mark, bag"
    )
    parser.add_argument("--note", metavar="WORDS", default="", help="anything else to be kept")
    parser.add_argument(
        "--photo", metavar="PHOTO", action="append", default=[],
        help="a filed photo of it: its file, or the start of its hash; may be repeated",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """List the parts, show one, or say which piece went on."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.stock_answer import part_answer  # noqa: PLC0415 - the same
    from capture.words.stock import part_line  # noqa: PLC0415 - the same

    if given.act:
        return _fit(given, edge)
    if given.piece:
        raise WrongUse('say that it was fitted: part BOOK PART fitted --piece "..."')
    with opened(given.book, edge, read_only=True) as journey:
        if given.part:
            journey.plan.part(given.part)
        walked = journey.round()
        parts = [p for p in walked.parts if given.part in {None, p.part.id}]
    if given.json:
        say_json({"parts": [part_answer(part) for part in parts]})
        return DONE
    for part in parts:
        say(part_line(part, walked.home))
    if not parts:
        say("the plan has no parts")
    return DONE


def _fit(given: argparse.Namespace, edge: "Edge") -> int:
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.fitting import fit_piece, say_fitted  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        fitted = fit_piece(journey, given.part, given.piece, note=given.note, photos=given.photo)
    if given.json:
        say_json(fitted._asdict())
    else:
        say_fitted(fitted)
    return DONE
