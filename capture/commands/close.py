"""benchproof close: close a hold point, if everything it hides is proven or waived in writing."""

import argparse
from contextlib import suppress
from typing import TYPE_CHECKING

from capture.commands.typed_options import add_book, add_by, add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from capture.edge import Edge
    from store.book import Book
    from store.pack.job_closed import JobClosed
    from store.written.closing import Closing

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
    from capture.commands.edge import warn  # noqa: PLC0415 - the same
    from capture.commands.hold_words import say_closing  # noqa: PLC0415 - the same

    closing = _as_known(given, edge) or _worked_out(given, edge)
    for warning in closing.warnings:
        warn(warning)
    kept = _checkpoints(given) if closing.ends_job else None
    say_closing(closing, kept, as_json=given.json)
    return exits.REFUSED if closing.entry is None else exits.DONE


def _as_known(given: argparse.Namespace, edge: "Edge") -> "Closing | None":
    """Close it by what was worked out from the very same bytes before; None if nothing was."""
    if any((given.waive, given.reason, given.decided_by, given.owner_agreed)):
        return None  # a waiver changes what the hold point stands at
    from capture.commands.kept_answers import HOLDS, KeptAnswer  # noqa: PLC0415 - as above
    from store.known.hold_stands import Stands  # noqa: PLC0415 - the same
    from store.written.closing import close_as_known  # noqa: PLC0415 - the same

    def known(there: str) -> Stands | None:
        text = KeptAnswer(there, HOLDS).text
        return Stands.read(text) if text else None

    root = given.book.absolute()
    return close_as_known(root, given.hold_point, known, at=edge.clock(), by=edge.by)


def _worked_out(given: argparse.Namespace, edge: "Edge") -> "Closing":
    """Close it the full way: every entry is read, and where the hold point stands worked out."""
    from capture.commands.books import opened_book  # noqa: PLC0415 - loads the whole store
    from store.errors import NotProven  # noqa: PLC0415 - the same
    from store.known.hold_stands import HoldStands  # noqa: PLC0415 - the same
    from store.pack.job_closed import is_closed  # noqa: PLC0415 - the same
    from store.standing import hold_now  # noqa: PLC0415 - the same
    from store.written.bench_acts import close  # noqa: PLC0415 - the same
    from store.written.closing import Closing  # noqa: PLC0415 - the same

    entry = None
    with opened_book(given.book) as book:
        hold_id = book.plan.hold_point(given.hold_point).id
        _waive(given, book, edge)
        # A refusal is an entry too, and what is unproven by it is what the hold point says.
        with suppress(NotProven):
            entry = close(book, hold_id, at=edge.clock(), by=edge.by)
        stands, counts_open = hold_now(book.told, hold_id)
        ends_job = entry is not None and is_closed(book)
    return Closing(HoldStands.of(stands), entry, counts_open, ends_job=ends_job)


def _checkpoints(given: argparse.Namespace) -> "JobClosed | None":
    """Keep a checkpoint of the job that is closed now; None, and a warning, if that can't be done.

    The hold point is closed either way: that is an entry, and was kept.
    """
    from capture.commands.edge import warn  # noqa: PLC0415 - once in a job
    from store.errors import StoreError  # noqa: PLC0415 - the same
    from store.pack.job_closed import keep_closing  # noqa: PLC0415 - the same
    from store.pack.signing_key import bench_key  # noqa: PLC0415 - the same
    from store.signing.key_file import key_folder  # noqa: PLC0415 - the same

    try:
        return keep_closing(given.book.absolute(), bench_key(key_folder()))
    except StoreError as error:
        warn(f"the job is closed, and no checkpoint of it could be kept: {error}")
        return None


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
    from store.written.bench_acts import waive  # noqa: PLC0415 - only with a waiver

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
