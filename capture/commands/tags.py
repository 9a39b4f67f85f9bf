"""benchproof tags: a sheet of numbered tags, one for each location, to file photos by."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.plan_options import add_job
from capture.commands.typed_options import add_json

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.plan import Plan
    from store.report.sheet_rows import Paper

EXAMPLES = """  benchproof tags job-12
  benchproof tags job-12 -o tags.pdf --paper letter
  benchproof tags plan.toml -o tags.pdf
  benchproof tags cam-tunnel --number J-14 --engine "two-cylinder pump" \\
      --customer "Ada Quill" --shop "Back Lane Bench" --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "plan", metavar="BOOK|PLAN", nargs="+", help="a book's folder, or plans as for 'start'"
    )
    parser.add_argument(
        "-o", "--output", metavar="PDF", type=Path, default=Path("tags.pdf"),
        help="where to write it (tags.pdf)",
    )  # fmt: skip
    parser.add_argument(
        "--paper", choices=("a4", "letter"), help="default: letter for a job in US units, else a4"
    )
    add_job(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Write the tags, and say which number is which location's."""
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.commands.report import refuse_to_destroy  # noqa: PLC0415 - the same
    from store.report.targets import write_tags  # noqa: PLC0415 - the same

    refuse_to_destroy(given.output)
    plan, numbers = _numbered(given)
    paper: Paper = given.paper or ("letter" if plan.job.units == "US" else "a4")
    written = write_tags(plan.job, numbers, given.output.resolve(), at=edge.clock(), paper=paper)
    if given.json:
        say_json({"tags": str(written), "numbers": numbers})
        return DONE
    say(f"tags {written}")
    for location, number in numbers.items():
        say(f"  {number:>3}  {location}")
    return DONE


def _numbered(given: argparse.Namespace) -> "tuple[Plan, dict[str, int]]":
    from store.told.tags import tag_numbers, tag_numbers_of_plan  # noqa: PLC0415 - not for --help

    if len(given.plan) == 1 and Path(given.plan[0]).is_dir():
        from capture.commands.books import opened_book  # noqa: PLC0415 - only for a book

        with opened_book(Path(given.plan[0]), read_only=True) as book:
            return book.plan, tag_numbers(book.told)
    from capture.commands.plan_options import chosen_plan  # noqa: PLC0415 - not for a mere --help

    plan = chosen_plan(given.plan, given)
    return plan, tag_numbers_of_plan(plan)
