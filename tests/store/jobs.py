"""Invented jobs of one shop, each a small book, for look-ups over many."""

from pathlib import Path

from msgspec.structs import replace

from store.book import Book
from store.plan import Job
from store.written import acts
from tests.store.small_job import MM, VERSION, WHO, plan, reading


def job_book(
    root: Path,
    number: str,
    *,
    customer: str = "Ostrow",
    engine: str = "inline four",
    nip: float | None = 0.1,
    half_step: float = 0.005,
    day: int = 2,
    unit: str = MM,
) -> Path:
    """Make a book whose plug is ``nip`` larger than its bore (20), judged by 0.04 to 0.16 mm."""
    the_plan = replace(
        plan(), job=Job(number=number, engine=engine, customer=customer, shop="Tamm & Daughter")
    )
    when = {"at": f"2026-03-{day:02}T09:00:00+01:00", "by": WHO["by"]}
    with Book.create(root, the_plan, bench="north", version=VERSION, **when) as book:
        if nip is not None:
            scale = 25.4 if unit == "in" else 1.0
            for key, size in (("P3.bore", 20.0), ("P3.plug", 20.0 + nip)):
                read = reading(key, round(size / scale, 6), half_step=half_step / scale, unit=unit)
                gauge = "MIC-2" if key == "P3.plug" else ""
                acts.record_reading(book, replace(read, gauge=gauge), **when)
    return root
