"""benchproof report: write the customer's report as a PDF."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from pathlib import Path

    from capture.edge import Edge

EXAMPLES = """  benchproof report job-12
  benchproof report job-12 -o for-the-customer.pdf
  benchproof report job-12 --paper letter"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    add_book(parser)
    parser.add_argument(
        "-o", "--output", metavar="PDF", type=Path, help="where (default: BOOK-report.pdf)"
    )
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

    # Beside the book, not in it: the book's folder is evidence and holds nothing else.
    book = given.book.resolve()
    target = given.output or book.with_name(f"{book.name}-report.pdf")
    refuse_to_destroy(target)
    with opened(given.book, edge, read_only=True) as journey, counting("report") as count:
        written = journey.report(
            target,
            paper=given.paper,
            budgets=given.budgets,
            progress=lambda done, of, _: count(done, of),
        )
    if given.json:
        say_json({"report": str(written)})
    else:
        say(f"report {written}")
    return DONE


def refuse_to_destroy(target: "Path") -> None:
    """Raise WrongUse for a place where a PDF would overwrite or hide something else."""
    from store.ledger import FILE_NAME  # noqa: PLC0415 - not for a mere --help
    from store.notice import FORMAT_NAME  # noqa: PLC0415 - the same

    whole = target.resolve()
    for folder in (whole, *whole.parents):
        if any((folder / name).exists() for name in (FILE_NAME, FORMAT_NAME)):
            raise WrongUse(
                f"{target} is inside the book {folder}, which holds evidence and nothing else: "
                "name a file in another folder"
            )
    if whole.is_dir():
        raise WrongUse(f"{target} is a folder: name the PDF file to write in it")
    if not whole.parent.exists():
        raise WrongUse(f"there is no folder {whole.parent}: make it first, or name another")
    if whole.exists() and not _is_pdf(whole):
        raise WrongUse(f"{target} is there and is not a PDF: it is not overwritten, name another")


def _is_pdf(path: "Path") -> bool:
    with path.open("rb") as file:
        return file.read(5) == b"%PDF-"
