"""benchproof sheet: a blank build sheet, to be filled in by hand and entered later."""

import argparse
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.plan_options import add_job
from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.plan import Plan
    from store.report.sheet_rows import Paper, Printed

EXAMPLES = """  benchproof sheet job-12 -o sheet.pdf
  benchproof sheet job-12 --missing -o what-is-left.pdf --paper letter
  benchproof sheet plan.toml -o sheet.pdf
  benchproof sheet cam-tunnel --number J-14 --engine "two-cylinder pump" \\
      --customer "Ada Quill" --shop "Back Lane Bench" -o sheet.pdf"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "plan", metavar="BOOK|PLAN", nargs="+", help="a book's folder, or plans as for 'start'"
    )
    parser.add_argument(
        "-o", "--output", metavar="PDF", type=Path, required=True, help="where to write it"
    )
    parser.add_argument(
        "--missing", action="store_true", help="of a book: only the checks that have no value yet"
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"), help="default: letter for a job in US units, else a4"
    )
    add_job(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Write the sheet and say where it is."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.report import refuse_to_destroy  # noqa: PLC0415 - the same
    from store.report.sheet import write_sheet  # noqa: PLC0415 - the same

    refuse_to_destroy(given.output)
    plan, printed = _of_book(given, edge) if _is_book(given.plan) else _of_plans(given, edge)
    written = write_sheet(plan, given.output.resolve(), printed)
    if given.json:
        say_json({"sheet": str(written), "checks": len(printed.keys or plan.walk())})
    else:
        say(f"sheet {written}")
    return DONE


def _is_book(names: list[str]) -> bool:
    return len(names) == 1 and Path(names[0]).is_dir()


def _of_book(given: argparse.Namespace, edge: "Edge") -> "tuple[Plan, Printed]":
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help

    book = Path(given.plan[0])
    with opened(book, edge, read_only=True) as journey:
        walked = journey.round()
    missing = frozenset(
        check.key for check in walked.checks if check.current is None and not check.excused
    )
    if given.missing and not missing:
        raise WrongUse(f"every check of {book} has a value: there is nothing to print a sheet for")
    keys = missing if given.missing else frozenset()
    # Its name alone: a long path would be typed from paper by nobody.
    name = shlex.quote(book.resolve().name)
    return walked.plan, _printed(given, edge, walked.plan, name, walked.entries, keys)


def _of_plans(given: argparse.Namespace, edge: "Edge") -> "tuple[Plan, Printed]":
    from capture.commands.plan_options import chosen_plan  # noqa: PLC0415 - not for a mere --help

    if given.missing:
        raise WrongUse("--missing is for a book: a plan has no values yet")
    plan = chosen_plan(given.plan, given)
    return plan, _printed(given, edge, plan, "BOOK", 0, frozenset())


def _printed(
    given: argparse.Namespace, edge: "Edge", plan: "Plan", book: str, entries: int,
    keys: frozenset[str],
) -> "Printed":  # fmt: skip
    from store.report.sheet_rows import Printed  # noqa: PLC0415 - not for a mere --help

    paper: Paper = given.paper or ("letter" if plan.job.units == "US" else "a4")
    return Printed(at=edge.clock(), paper=paper, book=book, entries=entries, keys=keys)
