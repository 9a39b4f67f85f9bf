"""benchproof close: close a hold point, if everything it hides is proven or waived in writing."""

import argparse
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.commands.edge import Edge
    from store.book import Book
    from store.codec import Entry
    from store.round import Hold

EXAMPLES = """  benchproof close job-12 cover
  benchproof close job-12 cover --waive P1.depth --reason "plug sits by its shoulder" \\
      --decided-by "A. Fitter" --owner-agreed "by phone, Tuesday" """.rstrip()


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
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
    from capture.commands.books import opened_book  # noqa: PLC0415 - the same
    from store.bench_acts import close  # noqa: PLC0415 - the same
    from store.errors import NotProven  # noqa: PLC0415 - the same
    from store.standing import hold_now  # noqa: PLC0415 - the same

    entry = None
    with opened_book(given.book) as book:
        hold = book.plan.hold_point(given.hold_point)
        _waive(given, book, edge)
        try:
            entry = close(book, hold.id, at=edge.clock(), by=edge.by)
        except NotProven as refused:
            unproven = refused.unproven
        else:
            unproven = ()
        stands, counts_open = hold_now(book.told, hold.id)
    # A count that does not close refuses nothing by itself, and is said before anything is hidden.
    _say_counts(counts_open)
    if given.json:
        _say_json(stands, counts_open, unproven)
    if entry is None:
        _say_refused(stands, unproven)
        return exits.REFUSED
    if not given.json:
        _say_closed(stands, entry)
    return exits.DONE


def _say_counts(counts_open: tuple[str, ...]) -> None:
    from capture.commands.edge import warn  # noqa: PLC0415 - not for a mere --help

    for sentence in counts_open:
        warn(f"count: {sentence}")


def _say_json(
    hold: "Hold", counts_open: tuple[str, ...], unproven: tuple[tuple[str, str], ...]
) -> None:
    from capture.commands.edge import say_json  # noqa: PLC0415 - only with --json

    say_json(
        {
            "hold_point": hold.hold_point.id,
            "state": hold.state,
            "unproven": [{"key": key, "why": why} for key, why in unproven],
            "counts_open": list(counts_open),
            "unsealed": hold.unsealed,
        }
    )


def _say_refused(hold: "Hold", unproven: tuple[tuple[str, str], ...]) -> None:
    from capture.commands.edge import warn  # noqa: PLC0415 - not for a mere --help

    warn(f"{hold.hold_point.name} may not go on yet: {len(unproven)} unproven")
    for key, why in unproven:
        warn(f"  {key}: {why}")


def _say_closed(hold: "Hold", entry: "Entry") -> None:
    from capture.commands.edge import say  # noqa: PLC0415 - not for a mere --help
    from capture.commands.walked import seal_wanted  # noqa: PLC0415 - the same

    say(f"{hold.hold_point.name} is closed, entry {entry.seq}")
    if hold.unsealed:
        say(seal_wanted(hold))
    if hold.hold_point.caution:
        say(f"caution: {hold.hold_point.caution}")


def _waive(given: argparse.Namespace, book: "Book", edge: "Edge") -> None:
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
    from store.bench_acts import waive  # noqa: PLC0415 - only with a waiver

    waive(
        book,
        given.hold_point,
        given.waive,
        reason=given.reason,
        decided_by=given.decided_by,
        owner_agreed=given.owner_agreed,
        at=edge.clock(),
        by=edge.by,
    )
