"""Opening a book for a verb, and a check's standing in words."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from capture.commands.edge import Edge, warn
from capture.commands.wording import quantity_text
from capture.journey import Journey
from store.round import Attempt, Check


def add_book(parser: argparse.ArgumentParser) -> None:
    """Add BOOK."""
    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")


@contextmanager
def opened(root: Path, edge: Edge, *, read_only: bool = False) -> Iterator[Journey]:
    """Give the journey of a book; its warnings are told when it is opened and when it is left."""
    with Journey.open(
        root, clock=edge.clock, user=edge.by, version=edge.version, read_only=read_only
    ) as journey:
        told = journey.book.warnings
        for warning in told:
            warn(warning)
        yield journey
        for warning in journey.book.warnings[len(told) :]:
            warn(warning)


def value_text(attempt: Attempt) -> str:
    """Return what an attempt says: its quantity, with the face word of a depth, or yes or no."""
    if attempt.answer is not None:
        return "yes" if attempt.answer else "no"
    if attempt.value is None:
        return attempt.why_no_value or "no value"
    face = getattr(attempt.record, "face", "")
    if not face:
        return quantity_text(attempt.value)
    size = attempt.value
    if size.value < 0:
        size = type(size)(value=-size.value, unit=size.unit, u=size.u, dof=size.dof)
    return f"{quantity_text(size)} {face}" if face != "FLUSH" else "FLUSH"


def check_line(check: Check) -> str:
    """Return one line on where a check stands."""
    parts = [f"{check.key}: {check.state}"]
    if check.current:
        parts.append(value_text(check.current))
    if check.why:
        parts.append(check.why)
    if check.waiver:
        parts.append(f"waived by {check.waiver.decided_by} ({check.waiver.reason})")
    return ", ".join(parts)


def check_answer(check: Check) -> dict[str, Any]:
    """Return a check for a program."""
    from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

    verdict = check.verdict
    return {
        "key": check.key,
        "question": check.characteristic.question,
        "state": check.state,
        "why": check.why,
        "value": None if check.value is None else quantity_answer(check.value),
        "answer": check.answer,
        "probability_within": verdict.probability_within if verdict else None,
        "attempts": len(check.attempts),
        "entry": check.current.stamp.entry if check.current else None,
        "waived": check.waiver is not None,
        "hidden": check.hidden,
    }
