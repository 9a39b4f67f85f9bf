"""benchproof report: write the customer's report, as a PDF or as one page for a browser."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from pathlib import Path

    from capture.edge import Edge

EXAMPLES = """  benchproof report job-12
  benchproof report job-12 -o for-the-customer.pdf
  benchproof report job-12 --paper letter
  benchproof report job-12 --html -o for-the-phone.html"""

_DOCTYPE = b"<!doctype html>"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    add_book(parser)
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=Path,
        help="where (default: BOOK-report.pdf, or .html)",
    )  # fmt: skip
    parser.add_argument(
        "--html", action="store_true",
        help="one page for a browser or a phone, that needs no network, in place of the PDF",
    )  # fmt: skip
    parser.add_argument(
        "--budgets", action="store_true", help="add every judged reading's uncertainty, in lines"
    )
    parser.add_argument(
        "--paper",
        choices=("a4", "letter"),
        help="default: letter for a job in US units, else a4",
    )
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Write the report and say where it is."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import counting, say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    if given.html and given.paper:
        raise WrongUse("--paper is for the PDF, a page has none: leave it out, or leave --html out")
    # Beside the book, not in it: the book's folder is evidence and holds nothing else.
    book = given.book.resolve()
    kind = "html" if given.html else "pdf"
    target = given.output or book.with_name(f"{book.name}-report.{kind}")
    refuse_to_destroy(target, page=given.html)
    with opened(given.book, edge, read_only=True) as journey, counting("report") as count:

        def told(done: int, of: int, _: str) -> None:
            count(done, of)

        if given.html:
            written = journey.page(target, budgets=given.budgets, progress=told)
        else:
            written = journey.report(
                target, paper=given.paper, budgets=given.budgets, progress=told
            )
    if given.json:
        say_json({"report": str(written)})
    else:
        say(f"report {written}")
    return DONE


def refuse_to_destroy(target: "Path", *, page: bool = False) -> None:
    """Raise WrongUse for a place where a PDF, or a page, would overwrite or hide something else."""
    from capture.commands.outputs import begins, refuse_to_lose  # noqa: PLC0415 - not for --help

    kind, start = ("an HTML page", _DOCTYPE) if page else ("a PDF", b"%PDF-")
    refuse_to_lose(target, kind, lambda path: begins(path, start))
