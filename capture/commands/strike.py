"""benchproof strike: strike a wrong entry."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by

if TYPE_CHECKING:
    from capture.commands.edge import Edge

EXAMPLES = """  benchproof strike job-12 7 --reason "read one thimble turn off"
  benchproof strike job-12 3fa9c1 --reason "photo of the wrong hole" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    parser.add_argument("entry", metavar="ENTRY", help="its number, or the start of its hash")
    parser.add_argument("--reason", metavar="WHY", required=True, help="why it is wrong")
    add_by(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Strike it and say so."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        wrong = journey.book.entry(given.entry)
        entry = journey.strike(given.entry, given.reason)
    say(f"entry {wrong.seq} is struck by entry {entry.seq}; it stays legible: {given.reason}")
    return DONE
