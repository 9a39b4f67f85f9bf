"""benchproof round: where every check and hold point stands."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.commands.edge import Edge

EXAMPLES = """  benchproof round job-12
  benchproof round job-12 --open
  benchproof round job-12 --at P1
  benchproof round job-12 --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("--open", action="store_true", help="only what is still unproven")
    parser.add_argument("--at", metavar="LOCATION", default="", help="only this location")
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - as every verb
    """Print the round."""
    from capture.commands.books import opened_book  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened_book(given.book, read_only=True) as book:
        if given.at:
            book.plan.location(given.at)
        walked = book.round()
    if given.json:
        from capture.commands.walked_answer import round_answer  # noqa: PLC0415 - --json only

        say_json(round_answer(walked, only_open=given.open, at=given.at))
        return DONE
    from capture.commands.walked import round_lines  # noqa: PLC0415 - not with --json

    for line in round_lines(walked, only_open=given.open, at=given.at):
        say(line)
    return DONE
