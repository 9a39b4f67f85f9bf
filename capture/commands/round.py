"""benchproof round: where every check and hold point stands."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.book import Book
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
        from capture.commands.merged_lines import merge_answers  # noqa: PLC0415 - --json only
        from capture.commands.walked_answer import round_answer  # noqa: PLC0415 - the same

        with _opened(given) as book:
            answer = round_answer(_walked(book), only_open=given.open, at=given.at)
            say_json(answer | {"merges": merge_answers(book.told)})
        return DONE
    from capture.commands.kept_answers import KeptAnswer, round_question  # noqa: PLC0415 - as above
    from store.known.fingerprint import fingerprint  # noqa: PLC0415 - the same

    question = round_question(only_open=given.open, at=given.at)
    kept = KeptAnswer(fingerprint(given.book), question).text
    say(_worked_out(given, question) if kept is None else kept)
    return DONE


def _worked_out(given: argparse.Namespace, question: str) -> str:
    """Return the lines, and remember them for the next time."""
    from capture.commands.ahead import see  # noqa: PLC0415 - only where nothing was kept
    from capture.commands.merged_lines import merge_lines  # noqa: PLC0415 - loads the whole store
    from capture.commands.walked import round_lines  # noqa: PLC0415 - the same

    with _opened(given) as book:
        walked = _walked(book)
        lines = [*round_lines(walked, only_open=given.open, at=given.at)]
        lines += [] if given.at else merge_lines(book.told)
        text = "\n".join(lines)
        see(book, walked, {question: text})
    return text


@contextmanager
def _opened(given: argparse.Namespace) -> "Iterator[Book]":
    from capture.commands.books import opened_book  # noqa: PLC0415 - loads the whole store

    with opened_book(given.book, read_only=True) as book:
        if given.at:
            book.plan.location(given.at)
        yield book


def _walked(book: "Book") -> "Round":
    # What is printed of a grid's readings is what was struck.
    return book.round(every_reading=False)
