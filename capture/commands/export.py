"""benchproof export: every reading of a job as a file for other programs, CSV or JSON."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from pathlib import Path

    from capture.edge import Edge

EXAMPLES = """  benchproof export job-12 readings.csv
  benchproof export job-12 checks.csv --checks
  benchproof export job-12 job-12.json
  benchproof export --describe
  benchproof export --describe --json"""
_ENDINGS = {".csv", ".json"}


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, nargs="?", help="the book's folder")
    parser.add_argument(
        "file", metavar="FILE", type=Path, nargs="?", help="what to write: a name in .csv or .json"
    )
    parser.add_argument(
        "--checks",
        action="store_true",
        help="CSV: where each check stands, those that were not measured too, and not each reading",
    )
    parser.add_argument(
        "--describe",
        action="store_true",
        help="say what each column is; with --json: the JSON Schema of what is written as JSON",
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - as every verb
    """Write the file and say how many lines it has, or say what the columns are."""
    from capture.commands.books import opened_book  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from store.ways_out.export import write_csv, write_json  # noqa: PLC0415 - the same

    if given.describe:
        _describe(as_schema=given.json)
        return DONE
    target = _target(given)
    with opened_book(given.book, read_only=True) as book:
        if target.suffix.lower() == ".json":
            count = write_json(target, book.round(), book.entries())
        else:
            count = write_csv(target, book.round(), "checks" if given.checks else "readings")
    what = "checks" if given.checks else "readings"
    if given.json:
        say_json({"file": str(target), what: count})
    else:
        say(f"export {target}: {count} {what}")
    return DONE


def _describe(*, as_schema: bool) -> None:
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - only to describe
    from store.ways_out.export import schema  # noqa: PLC0415 - the same
    from store.ways_out.listing import CHECKS  # noqa: PLC0415 - the same
    from store.ways_out.readings_csv import POLICY, columns_text  # noqa: PLC0415 - the same

    if as_schema:
        say_json(schema())
        return
    say("The first line names the columns; figures have a decimal point.")
    say(POLICY)
    say(f"readings, one line for each value ever given:\n{columns_text()}")
    say(f"--checks, one line for each check, where it stands:\n{columns_text(CHECKS)}")


def _target(given: argparse.Namespace) -> "Path":
    """Return where to write; raises WrongUse for a place where something else would be lost."""
    from capture.commands.outputs import begins, refuse_to_lose  # noqa: PLC0415 - not for a mere --help
    from store.ways_out.export import first_words  # noqa: PLC0415 - the same

    if given.book is None or given.file is None:
        raise WrongUse("name the book and the file to write, as: benchproof export BOOK OUT.csv")
    target: Path = given.file
    if target.suffix.lower() not in _ENDINGS:
        raise WrongUse(f"{target}: end its name in .csv or .json, for that says what is written")
    if given.checks and target.suffix.lower() == ".json":
        raise WrongUse("--checks is for CSV: JSON has checks and readings; leave --checks out")
    start = first_words(target)
    refuse_to_lose(target, "a benchproof export", lambda path: begins(path, start))
    return target
