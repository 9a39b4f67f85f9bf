"""benchproof check: everything that is known of one check."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof check job-12 B1.bore
  benchproof check job-12 C2.covered --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("check", metavar="LOCATION.CHECK", help="which check")
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Say it all; the exit code is that of done, whatever the verdict."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.merged_lines import conflict_lines  # noqa: PLC0415 - the same
    from capture.commands.one_check import full_answer, full_lines  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        walked = journey.round()
        check = walked.check(given.check)
        conflicts = conflict_lines(journey.book.told, check.key)
    if given.json:
        say_json(full_answer(walked, check))
    else:
        for line in (*full_lines(walked, check), *conflicts):
            say(line)
    return DONE
