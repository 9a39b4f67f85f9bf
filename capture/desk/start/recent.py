"""Books that were open lately, read without changing anything in them."""

from pathlib import Path
from typing import NamedTuple

from capture.words.refusals import TOLD, sentence_of
from store.book import Book
from store.plan import Plan
from store.report.figures import date_said
from store.round import Round


class Recent(NamedTuple):
    """A book as the first screen shows it; ``state`` says why where it can't be read."""

    root: Path
    number: str
    engine: str
    state: str
    shop: str = ""
    units: str = ""


def read_recent(root: Path) -> Recent:
    """Return what the first screen says of a book; never raises for a book that is broken."""
    try:
        with Book.open(root, read_only=True) as book:
            known = book.round()
    except TOLD as refused:
        return Recent(root, "", root.name, sentence_of(refused))
    job = known.job
    return Recent(root, job.number, job.engine, state_text(known), job.shop, job.units)


def read_usual(roots: list[Path]) -> Recent | None:
    """Return the last job of a real shop: what the next one is usually like. None if there is none.

    The demo's shop is nobody's.
    """
    found = (read_recent(root) for root in roots if not root.name.startswith("demo-job"))
    return next((each for each in found if each.shop), None)


def read_plan_before(root: Path) -> Plan:
    """Return the plan of the job that came back, as it stands; raises NotABook, Damaged."""
    with Book.open(root, read_only=True) as book:
        return book.plan


def state_text(known: Round) -> str:
    """Return how far a job is: "12 of 80 checks proven or waived, 2 of 9 hold points closed"."""
    proven = sum(check.proven or check.waiver is not None for check in known.checks)
    closed = sum(hold.closed is not None for hold in known.holds)
    parts = [f"{proven} of {len(known.checks)} checks proven or waived"]
    if known.holds:
        parts.append(f"{closed} of {len(known.holds)} hold points closed")
    parts.append(date_said(known.last.at))
    return ", ".join(parts)
