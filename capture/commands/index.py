"""benchproof index: a book's look-up tables, for any SQLite tool."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof index job-12
  sqlite3 job-12/index.db "SELECT key, value, u, unit FROM checks WHERE state = 'outside'"
  benchproof index job-12 -o look.db
  benchproof index --describe"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, nargs="?", help="the book's folder")
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path,
        help="where, for a book that can't be written to (default: index.db in the book)",
    )  # fmt: skip
    parser.add_argument("--describe", action="store_true", help="say what each table and column is")
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - as every verb
    """Write the tables anew, and say how many rows each has."""
    from capture.commands.books import opened_book  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.outputs import refuse_to_lose  # noqa: PLC0415 - the same
    from store.index import FILE_NAME, is_index, tables_text, write_index  # noqa: PLC0415 - as above

    if given.describe:
        say_json({"tables": tables_text()}) if given.json else say(tables_text())
        return DONE
    if given.book is None:
        raise WrongUse("name the book, as: benchproof index BOOK")
    if given.output:
        refuse_to_lose(given.output, "an index of benchproof", is_index)
    with opened_book(given.book, read_only=True) as book:
        target = given.output or given.book / FILE_NAME
        within = None if given.output else given.book
        made = write_index(target, book.entries(), book.round(), within=within)
    if given.json:
        say_json({"index": str(made.path), "rows": made.rows})
    else:
        rows = ", ".join(f"{name} {count}" for name, count in made.rows.items())
        say(f"index {made.path}: {rows}")
        say("open it in any SQLite tool; .schema says what each column is")
    return DONE
