"""benchproof budget: what makes the value of a check uncertain, line by line."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof budget job-12 P1.press
  benchproof budget job-12 G1.datums-agree
  benchproof budget job-12 P1.press --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "check", metavar="LOCATION.CHECK", help="a check with a value, or an agreement of two"
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Say the budget; of an agreement that of the difference, and which to read again."""
    from capture.commands import uncertainty  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        _, check = journey.plan.characteristic(given.check)
        if check.of:
            agreed = journey.agreement(given.check)
            lines = uncertainty.agreement_lines(given.check, check.of, agreed)
            answer = uncertainty.agreement_answer(given.check, check.of, agreed)
        else:
            budget = journey.budget(given.check)
            lines = uncertainty.budget_lines(given.check, budget)
            answer = {"key": given.check, **uncertainty.budget_answer(budget)}
    if given.json:
        say_json(answer)
        return DONE
    for line in lines:
        say(line)
    return DONE
