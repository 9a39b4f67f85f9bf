"""A book of a million entries against one of ten thousand: opening it, and finding things in it.

The peer of both is the least that any program must do: fetch every line of the same ledger with one
SELECT. Growth is the time at the large book over that at the small one; in step with the entries
it would be as many times as they have more of them.
"""

import random
import sqlite3
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from annotate.quantity import Quantity
from store.book import Book
from store.characteristic import Characteristic
from store.evidence import Read
from store.ledger import FILE_NAME
from store.plan import Job, Location, Plan

SMALL, LARGE = 10_000, 1_000_000
CHECKS, BATCH = 100, 20_000
WHO = {"at": "2026-03-02T09:00:00+01:00", "by": "A. Fitter"}


def print_growth(large: int = LARGE) -> None:
    """Print each time at both sizes, and the growth."""
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as folder:
        sizes = (min(SMALL, large), large)
        rows = [_times(_built(Path(folder, str(count)), count), count) for count in sizes]
    more = sizes[1] / sizes[0]
    print(f"{'':44}{sizes[0]:>12,}{sizes[1]:>12,}{'growth':>9}")
    for name, first in rows[0].items():
        last = rows[1][name]
        print(f"{name:44}{first * 1e3:>9.1f} ms{last * 1e3:>9.0f} ms{last / first:>9.1f}")
    print(f"entries: {more:.0f} times as many")


def _built(root: Path, count: int) -> Path:
    checks = tuple(Characteristic(f"c{n}", "length", "how wide?", "mm") for n in range(CHECKS))
    plan = Plan(
        Job("B-1", "bench mule", "nobody", "The Bench"), (Location("L", "a place", checks),)
    )
    dice = random.Random(20261126)  # noqa: S311 - sizes, no secrets
    with Book.create(root, plan, bench="north", version="bench", **WHO) as book:
        for first in range(1, count, BATCH):
            with book.act(**WHO) as act:
                for number in range(first, min(count, first + BATCH)):
                    text = f"{dice.uniform(11.9, 12.1):.3f}"
                    key = f"L.c{number % CHECKS}"
                    act.append(Read(key, text, Quantity(float(text), "mm"), text, 0.0005))
    return root


def _times(root: Path, count: int) -> dict[str, float]:
    found: dict[str, float] = {}

    def timed(name: str, act: Callable[[], Any]) -> Any:
        begin = time.perf_counter()
        value = act()
        found[name] = time.perf_counter() - begin
        return value

    timed("peer: SELECT line, fetchall", lambda: _scan(root))
    book = timed("open", lambda: Book.open(root, read_only=True))
    with book:
        entries = book.entries()
        if len(entries) != count:
            raise SystemExit(f"{len(entries)} entries were read, {count} were written")
        middle = entries[count // 2]
        timed("an entry by the start of its hash", lambda: book.entry(middle.hash[:12]))
        timed("an entry by its number", lambda: book.entry(middle.seq))
        told = book.told
        timed("the readings of one check", lambda: list(told.reads["L.c7"]))
    return found


def _scan(root: Path) -> int:
    database = sqlite3.connect(f"{(root / FILE_NAME).resolve().as_uri()}?mode=ro", uri=True)
    try:
        return len(database.execute("SELECT line FROM entries").fetchall())
    finally:
        database.close()
