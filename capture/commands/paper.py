"""benchproof paper: keep a machine shop's sheet, a manual's page or another attachment."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof paper job-12 sheet.pdf --what "machine shop's sheet of the line bore"
  benchproof paper job-12 page-41.jpg --what "manual, page 41" --at C1 --shows C1.bore"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("file", metavar="FILE", type=Path, help="any file; it is kept as it is")
    parser.add_argument("--what", metavar="WORDS", required=True, help="what it is")
    parser.add_argument("--at", metavar="LOCATION", default="", help="the location it belongs to")
    parser.add_argument(
        "--shows", metavar="LOCATION.CHECK", action="append", default=[],
        help="a check that it speaks of; may be repeated",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Keep it and say so."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        entry = journey.add_paper(
            given.file, what=given.what, location=given.at, keys=tuple(given.shows)
        )
    digest = str(getattr(entry.evidence, "paper", ""))
    if given.json:
        say_json(
            {
                "paper": digest, "file": given.file.name, "what": given.what,
                "location": given.at, "shows": given.shows, "entry": entry.hash,
                "number": entry.seq,
            }
        )  # fmt: skip
    else:
        where = f" at {given.at}" if given.at else ""
        say(f"kept {given.file.name}{where}: {given.what}, entry {entry.seq}, paper {digest[:12]}")
    return DONE
