"""benchproof budget: what makes the value of a check uncertain, line by line."""

import argparse
from itertools import chain
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from annotate.result import Coverage
    from capture.edge import Edge

EXAMPLES = """  benchproof budget job-12 P1.press
  benchproof budget job-12 G1.datums-agree
  benchproof budget job-12 C2.covered
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
    from capture.commands import answer as answering  # noqa: PLC0415 - the same
    from capture.commands import uncertainty  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from store.evidence import Marked  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        _, check = journey.plan.characteristic(given.check)
        current = journey.round().check(given.check).current
        lines: Iterable[str]
        if current is not None and isinstance(current.record, Marked):
            result, repeats = current.record.result, current.record.repeats
            lines = of_coverage(given.check, result)
            if repeats is not None:
                from capture.words.coverages import repeats_lines  # noqa: PLC0415 - the same

                lines = chain(lines, repeats_lines(repeats, len(current.record.repeats_from)))
            points = [answering.budget_line(line) for line in result.budget]
            answer = {"key": given.check, "covered": answering.result_answer(result.covered),
                      "budget": points, **answering.repeats_answer(repeats)}  # fmt: skip
        elif check.of:
            agreed = journey.agreement(given.check)
            lines = uncertainty.agreement_lines(given.check, check.of, agreed)
            answer = uncertainty.agreement_answer(given.check, check.of, agreed)
        else:
            budget = journey.budget(given.check)
            gone = uncertainty.cancelled(journey.round(), current, budget)
            lines = chain(
                uncertainty.budget_lines(given.check, budget), uncertainty.cancelled_lines(gone)
            )
            answer = {"key": given.check, **uncertainty.budget_answer(budget),
                      "cancelled": [gauge.id for gauge in gone]}  # fmt: skip
    if given.json:
        say_json(answer)
        return DONE
    for line in lines:
        say(line)
    return DONE


def of_coverage(key: str, result: "Coverage") -> "Iterator[str]":
    """Yield what makes a coverage uncertain, in points of it, the largest first."""
    from capture.words.coverages import budget_lines  # noqa: PLC0415 - not for a mere --help
    from capture.words.quantities import result_text  # noqa: PLC0415 - the same

    yield f"{key}: covered {result_text(result.covered)}"
    yield from budget_lines(result)
