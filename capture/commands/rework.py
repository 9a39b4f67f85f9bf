"""benchproof rework: say that something was worked on, so that it must be read again."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof rework job-12 B2.covered --what "turned the bearing and drove it again"
  benchproof rework job-12 G1 G2 --what "drilled out, tapped, new plugs" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "scope", metavar="SCOPE", nargs="+", help="checks, as C2.bore, or whole locations, as C2"
    )
    parser.add_argument("--what", metavar="WORDS", required=True, help="what was done")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Begin the new attempt and say what must be read again."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        known = journey.round()
        entry = journey.rework(*given.scope, what=given.what)
        known = journey.book.round_before(entry, known)
        before = {check.key for check in known.checks if check.current}
        walked = journey.round()
    again = [check for check in walked.checks if check.key in before and not check.current]
    if given.json:
        say_json(
            {
                "entry": entry.hash, "number": entry.seq, "scope": given.scope,
                "read_again": [{"key": c.key, "attempt": c.name} for c in again],
            }
        )  # fmt: skip
        return DONE
    say(f"{', '.join(given.scope)}: worked on ({given.what}), entry {entry.seq}")
    for check in again:
        say(f"to be read again: {check.key}, now {check.name}")
    say("what was read before stays on record as the attempt it was")
    return DONE
