"""Opening a book for a verb, and a check's standing in words."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from annotate.result import Known
from capture.commands.edge import Edge, warn
from capture.commands.wording import quantity_text
from capture.journey import Journey
from store.evidence import Marked, Read
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


def value_text(check: Check, attempt: Attempt) -> str:
    """Return what an attempt says: a reading as it was typed, a coverage both ways round."""
    record = attempt.record
    if isinstance(record, Read):
        assumed = f" ({check.characteristic.unit} assumed)" if record.took_a_unit else ""
        return f"{record.text.strip()}{assumed}"
    if isinstance(record, Marked):
        return _coverage_text(check, attempt, record)
    if attempt.value is None:
        return attempt.why_no_value or "no value"
    if check.characteristic.kind == "agreement":
        return f"En {attempt.value.value:.2f}"
    return quantity_text(attempt.value)


def _coverage_text(check: Check, attempt: Attempt, marked: Marked) -> str:
    parts = [
        f"{word} {quantity_text(result.quantity)}"
        for word, result in (("covered", marked.result.covered), ("open", marked.result.open))
        if isinstance(result, Known)
    ]
    limit = check.characteristic.limit
    if limit and limit.of != "covered" and attempt.value is not None:
        parts.insert(0, f"{limit.of} {quantity_text(attempt.value)}")
    return ", ".join(parts) or attempt.why_no_value or "no value"


def check_line(check: Check) -> str:
    """Return one line on where a check stands."""
    parts = [f"{check.key}: {check.state}"]
    if check.current:
        parts.append(value_text(check, check.current))
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
