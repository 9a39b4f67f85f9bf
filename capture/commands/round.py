"""benchproof round: where every check and hold point stands."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.commands.edge import Edge
    from store.round import Round

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
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    if given.json:
        from capture.commands.walked_answer import round_answer  # noqa: PLC0415 - --json only

        walked, _ = _walked(given)
        say_json(round_answer(walked, only_open=given.open, at=given.at))
        return DONE
    from capture.commands.kept_answers import KeptAnswer  # noqa: PLC0415 - not for a mere --help

    answer = KeptAnswer(given.book, f"round, open {given.open}, at {given.at}")
    if answer.text is not None:
        say(answer.text)
        return DONE
    from capture.commands.walked import round_lines  # noqa: PLC0415 - loads the whole store

    walked, warned = _walked(given)
    text = "\n".join(round_lines(walked, only_open=given.open, at=given.at))
    say(text)
    if not warned:
        answer.keep(text)
    return DONE


def _walked(given: argparse.Namespace) -> "tuple[Round, bool]":
    """Return the round, and whether the book's state was warned of."""
    from capture.commands.books import opened_book  # noqa: PLC0415 - loads the whole store

    with opened_book(given.book, read_only=True) as book:
        if given.at:
            book.plan.location(given.at)
        # What is printed of a grid's readings is what was struck.
        return book.round(every_reading=False), bool(book.warnings)
