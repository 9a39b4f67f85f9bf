"""benchproof reopen: open a closed hold point again, and those that hide it."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from capture.edge import Edge

EXAMPLES = """  benchproof reopen job-12 cover --reason "weeps at the lower bolt" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("hold_point", metavar="HOLD", help="the hold point's id")
    parser.add_argument("--reason", metavar="WHY", required=True, help="why it comes off again")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Open it again and say what lies open now."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        entries = journey.reopen(given.hold_point, given.reason)
        walked = journey.round()
    ids = [str(getattr(entry.evidence, "hold_point", "")) for entry in entries]
    if given.json:
        say_json(
            {
                "reopened": [
                    {"hold_point": hold_id, "entry": entry.hash, "number": entry.seq}
                    for hold_id, entry in zip(ids, entries, strict=True)
                ],
                "lies_open": list(walked.hold(given.hold_point).hides),
            }
        )
        return DONE
    for hold_id, entry in zip(ids, entries, strict=True):
        because = "" if hold_id == given.hold_point else f", for it hides {given.hold_point}"
        name = walked.hold(hold_id).hold_point.name
        say(f"{hold_id} is open again ({name}){because}, entry {entry.seq}")
    say(f"it can be worked on and read again: {', '.join(walked.hold(given.hold_point).hides)}")
    say("to close it again everything it hides must be proven; what stands proven still counts")
    return DONE
