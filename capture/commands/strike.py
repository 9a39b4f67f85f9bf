"""benchproof strike: strike a wrong entry."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof strike job-12 7 --reason "read one thimble turn off"
  benchproof strike job-12 3fa9c1 --reason "photo of the wrong hole" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument(
        "entry",
        metavar="ENTRY",
        help='its number (where several benches wrote, as "south 2"), or the start of its hash',
    )
    parser.add_argument("--reason", metavar="WHY", required=True, help="why it is wrong")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Strike it and say so."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same
    from store.attempt import numbered  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        wrong = journey.book.entry(given.entry)
        known = journey.round()
        entry = journey.strike(given.entry, given.reason)
        known = journey.book.round_before(entry, known)
        before = {check.key: check.state for check in known.checks}
        walked = journey.round()
        now = {check.key: check.state for check in walked.checks}
    changed = [key for key, state in now.items() if before.get(key) != state]
    if given.json:
        say_json(
            {
                "struck": wrong.hash, "number": wrong.seq, "by_entry": entry.hash,
                "reason": given.reason, "changed": [{"key": k, "state": now[k]} for k in changed],
            }
        )  # fmt: skip
        return DONE
    home = walked.home
    say(
        f"entry {numbered(wrong, home)} is struck by entry {numbered(entry, home)}; it stays "
        f"legible: {given.reason}"
    )
    for key in changed:
        say(f"from it  {key}: {now[key]}")
    return DONE
