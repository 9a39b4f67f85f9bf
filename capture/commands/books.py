"""Opening a book for a verb, and a check's standing for a program."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capture.commands.ahead import see
from capture.commands.edge import warn
from capture.edge import Edge
from store.book import Book
from store.characteristic import Spot
from store.round import Check
from store.signing.key_file import clear_left

if TYPE_CHECKING:
    from capture.journey import Journey


@contextmanager
def opened(root: Path, edge: Edge, *, read_only: bool = False) -> "Iterator[Journey]":
    """Give the journey of a book; its warnings are told when it is opened and when it is left."""
    from capture.journey import Journey  # noqa: PLC0415 - loads what measures, which few need

    with opened_book(root, read_only=read_only) as book:
        yield Journey(book, clock=edge.clock, user=edge.by, version=edge.version)


@contextmanager
def opened_book(root: Path, *, read_only: bool = False) -> Iterator[Book]:
    """Give a book; its warnings are told when it is opened and when it is left.

    It is held still: what is told after an act is what came of that act, and not of what another
    program wrote meanwhile. What was written to is remembered, and the round worked out when the
    verb is done (``ahead``).
    """
    # Absolute: the report is set by a process that stands in another folder.
    with Book.open(root.absolute(), read_only=read_only) as book:
        if not read_only:
            clear_left()  # of a key begun at the last closing, say, which may not be needed again
        told = book.warnings
        for warning in told:
            warn(warning)
        with book.still():
            yield book
            if not read_only:
                see(book)
        for warning in book.warnings[len(told) :]:
            warn(warning)


def check_answer(check: Check) -> dict[str, Any]:
    """Return a check for a program."""
    from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

    verdict = check.verdict
    answer: dict[str, Any] = {
        "key": check.key,
        "question": check.characteristic.question,
        "state": check.state,
        "why": check.why,
        "proven": check.proven,
        "name": check.name,
        "value": None if check.value is None else quantity_answer(check.value),
        "answer": check.answer,
        "words": check.current.words if check.current else "",
        "probability_within": verdict.probability_within if verdict else None,
        "attempts": len(check.attempts),
        "entry": check.current.stamp.entry if check.current else None,
        "waived": check.waiver is not None,
        "hidden": check.hidden,
        "suspect": check.suspect,
        "excused": check.excused,
        "asks": check.characteristic.asks,
    }
    if check.characteristic.is_grid:
        spots = check.characteristic.spots
        answer["readings"] = {"there": len(spots) - len(check.missing), "of": len(spots)}
        answer["missing"] = [spot_answer(spot) for spot in check.missing]
    return answer


def spot_answer(spot: Spot) -> dict[str, Any]:
    """Return a spot of a grid for a program."""
    return {"position": spot.position, "axis": spot.axis, "repeat": spot.repeat}
