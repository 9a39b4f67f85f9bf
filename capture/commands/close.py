"""benchproof close: close a hold point, if everything it hides is proven or waived in writing."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.commands.edge import Edge
    from capture.journey import Journey

EXAMPLES = """  benchproof close job-12 cover
  benchproof close job-12 cover --waive P1.depth --reason "plug sits by its shoulder" \\
      --decided-by "A. Fitter" --owner-agreed "by phone, Tuesday" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    parser.add_argument("hold_point", metavar="HOLD", help="the hold point's id")
    waiver = parser.add_argument_group(
        "waiver", "go on although one thing is unproven; the verdict does not change"
    )
    waiver.add_argument("--waive", metavar="KEY", help="LOCATION.CHECK, or LOCATION for its photos")
    waiver.add_argument("--reason", metavar="WHY", help="why it may go on")
    waiver.add_argument("--decided-by", metavar="NAME", help="who decided")
    waiver.add_argument("--owner-agreed", metavar="HOW", help="how the owner agreed")
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Close it, or say everything that is unproven."""
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - the same
    from store.errors import NotProven  # noqa: PLC0415 - the same

    with opened(given.book, edge) as journey:
        hold = journey.plan.hold_point(given.hold_point)
        _waive(given, journey)
        try:
            entry = journey.close(hold.id)
        except NotProven as refused:
            unproven = refused.unproven
        else:
            unproven = ()
    if given.json:
        say_json(
            {
                "hold_point": hold.id,
                "state": "open" if unproven else "closed",
                "unproven": [{"key": key, "why": why} for key, why in unproven],
            }
        )
    if unproven:
        warn(f"{hold.name} may not go on yet: {len(unproven)} unproven")
        for key, why in unproven:
            warn(f"  {key}: {why}")
        return exits.REFUSED
    if not given.json:
        say(f"{hold.name} is closed, entry {entry.seq}")
        if hold.caution:
            say(f"caution: {hold.caution}")
    return exits.DONE


def _waive(given: argparse.Namespace, journey: "Journey") -> None:
    words = {
        "--reason": given.reason,
        "--decided-by": given.decided_by,
        "--owner-agreed": given.owner_agreed,
    }
    if given.waive is None:
        if any(words.values()):
            raise WrongUse("a waiver needs --waive: what may go on although it is unproven")
        return
    lacking = [option for option, text in words.items() if not (text or "").strip()]
    if lacking:
        raise WrongUse(f"a waiver is in writing: it also needs {', '.join(lacking)}")
    journey.waive(
        given.hold_point,
        given.waive,
        reason=given.reason,
        decided_by=given.decided_by,
        owner_agreed=given.owner_agreed,
    )
