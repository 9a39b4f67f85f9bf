"""benchproof change: change a book's plan at the bench. Every change is an entry."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.change_options import CHANGES
from capture.commands.typed_options import add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof change job-12 add-location G3 --name "Gallery plug, rear" --plug
  benchproof change job-12 add-check G3 depth --kind depth --question "How deep does it sit?" \\
      --datum "rear face" --asks "maker's figure and page"
  benchproof change job-12 add-check M1 bore --kind length --question "Housing bore?" \\
      --positions front,rear --axes along,across --gauge bore-1
  benchproof change job-12 add-check M1 clearance --kind computed --question "Oil clearance?" \\
      --formula "M1.bore - M1.journal"
  benchproof change job-12 never-fitted G3 --photo bare-bore.jpg
  benchproof change job-12 add-hold sump --name "Sump goes on" --hides M1,G3 --roles close-up
  benchproof change job-12 add-check --help"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    what = parser.add_subparsers(dest="what", metavar="CHANGE", required=True)
    for name, (line, options, _) in CHANGES.items():
        own = what.add_parser(name, help=line, description=line[0].upper() + line[1:] + ".")
        options(own)
        own.add_argument("--reason", metavar="WHY", default="", help="why, kept with it")
        add_by(own)
        add_json(own)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Make the change and say so."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from capture.words.plans import change_words  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        change = CHANGES[given.what][2](given, journey)
        entry = journey.change_plan(change, given.reason)
        words = change_words(change, journey.plan)
    if given.json:
        say_json({"entry": entry.seq, "hash": entry.hash, "change": words})
    else:
        say(f"entry {entry.seq}: {words}")
    return DONE
