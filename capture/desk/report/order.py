"""What is to be made of a book for others, and making it. No Qt: it runs beside the window.

The book is opened anew and only read, so that work at the bench goes on meanwhile; only a pack
writes one line to it, its checkpoint.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Literal, NamedTuple

from capture.edge import Edge
from capture.journey import Journey
from store.round import Round

Kind = Literal["report", "page", "pack"]
Paper = Literal["a4", "letter"]
Progress = Callable[[int, int, str], None]


class Order(NamedTuple):
    """One report or pack: of which book, where to, and how."""

    kind: Kind
    root: Path
    target: Path
    paper: Paper | None = None
    budgets: bool = False
    previews: Path | None = None


def make(order: Order, edge: Edge, *, progress: Progress, stop: Callable[[], bool]) -> Path:
    """Make what was ordered and return where it is.

    ``progress`` is told (done, of, words), ``stop`` asked in between. Raises what
    ``Journey.report``, ``page`` and ``pack`` raise; then nothing is left behind.
    """
    with Journey.open(
        order.root, clock=edge.clock, user=edge.by, version=edge.version,
        read_only=order.kind != "pack",
    ) as journey:  # fmt: skip
        if order.kind == "pack":
            return journey.pack(order.target, progress=progress, stop=stop)
        if order.kind == "page":
            return journey.page(order.target, budgets=order.budgets, progress=progress, stop=stop)
        return journey.report(
            order.target, paper=order.paper, budgets=order.budgets, progress=progress,
            previews=order.previews, stop=stop,
        )  # fmt: skip


def usual_target(root: Path, kind: Kind) -> Path:
    """Return where it goes if nobody says otherwise: beside the book, never in it."""
    ends = {"report": "report.pdf", "page": "report.html", "pack": "pack.zip"}
    return root.with_name(f"{root.name}-{ends[kind]}")


def summary(known: Round) -> list[tuple[str, str]]:
    """Return (word of a state, how many checks) in the order in which a customer asks."""
    tally = known.tally()
    said = [(word, f"{count}") for word, count in tally.items() if count]
    return [("recorded" if word == "no limit" else word, count) for word, count in said]


def still_open(known: Round) -> str:
    """Return a sentence on what is open, empty if nothing is."""
    missing = known.tally()["not measured"]
    waiting = sum(hold.closed is None for hold in known.holds)
    parts = []
    if missing:
        parts.append("1 check is not measured" if missing == 1 else
                     f"{missing} checks are not measured")  # fmt: skip
    if waiting:
        parts.append("1 hold point is open" if waiting == 1 else f"{waiting} hold points are open")
    if not parts:
        return ""
    return f"{' and '.join(parts)}: the report says so on its first page."
