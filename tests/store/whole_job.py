"""A whole invented job: at least one entry of every kind there is."""

from pathlib import Path

import msgspec
import pytest

from annotate.quantity import Quantity
from store.book import Book
from store.change import CheckAdded, DecidingSet, LimitSet, NeverFitted, PartAdded
from store.characteristic import Limit, Spot
from store.errors import NotProven
from store.evidence import KitCounted, MapPlaced, OwnerSaid, Read, SlipAsked
from store.plan import Part
from store.written import acts, bench_acts
from tests.store.bench_job import (
    begin,
    change,
    computed,
    dial,
    fit,
    journal,
    limit,
    note,
    read,
    say,
    waive,
)
from tests.store.small_job import WHO, file_photo, marks
from tests.store.test_papers import keep_paper

replace = msgspec.structs.replace

# No two spreads alike: what is worked out by trials draws them by the entries' own hashes, so that
# any chain written anew is found by it.
WORN = {("front", "X"): 59.925, ("front", "Y"): 59.94, ("rear", "X"): 59.928,
        ("rear", "Y"): 59.934}  # fmt: skip
TURNED = {("front", "X"): 59.975, ("front", "Y"): 59.99, ("rear", "X"): 59.978,
          ("rear", "Y"): 59.984}  # fmt: skip
OTHER = {"at": "2026-03-02T15:00:00+01:00", "by": "L. Saar"}


def refuse(book: Book, hold: str) -> None:
    with pytest.raises(NotProven):
        bench_acts.close(book, hold, **WHO)


def whole_job(root: Path) -> None:
    """Write the book: refused and closed, reopened and closed again."""
    with begin(root) as book:
        overall = file_photo(book, "J1", "overall")
        bench_acts.place_on_map(book, MapPlaced("G3", overall, 30.0, 40.0), **WHO)
        bench_acts.owner_said(book, OwnerSaid("agreed", "go on", "by phone", "Ilves"), **WHO)
        bench_acts.take_out(book, "G3", size="24 mm cup", **WHO)
        bench_acts.count_kit(book, KitCounted("plugs", 2), **WHO)
        keep_paper(book, b"%PDF the machine shop's sheet")
        acts.withdraw(
            book, SlipAsked("G3.bore", "2.4", ("a tenth of",), "withdrawn", Spot()), **WHO
        )
        journal(book, WORN)
        acts.rework(book, ("J1",), "new crank", **WHO)
        file_photo(book, "J1")
        file_photo(book, "M1")
        refuse(book, "caps")
        journal(book, TURNED)
        dial(book, "M1.bore", 0.052)
        read(book, "M1.bolts", 95.0, unit="N.m")
        change(book, LimitSet("M1.bolts", Limit("p. 4", at_most=Quantity(90.0, "N.m"))), "")
        refuse(book, "caps")
        change(book, LimitSet("M1.bolts", Limit("p. 5", at_most=Quantity(110.0, "N.m"))))
        change(book, DecidingSet("J1.size", "wear"), "used again")
        fit(book, "shell-1", "no. 4")
        bench_acts.suspect_gauge(book, "MIC-2", since="2026-03-01", reason="dropped", **WHO)
        refuse(book, "caps")
        bench_acts.clear_gauge(book, "MIC-2", reason="good on the ring", **WHO)
        bench_acts.close(book, "caps", **WHO)
        bench_acts.reopen(book, "caps", "a rattle", **WHO)
        fit(book, "shell-1", "no. 5")
        refuse(book, "caps")
        dial(book, "M1.bore", 0.2)
        waive(book, "caps", "M1.gap")
        bench_acts.close(book, "caps", **WHO)
        change(book, NeverFitted("G4", file_photo(book, "G4", "bare bore", b"bare")))
        change(book, PartAdded(Part("pan-1", "sump")))
        change(book, CheckAdded("G3", computed("twice", "2 * G3.bore", limit=limit(50.0))))
        for key, size in (("G3.bore", 23.0), ("G3.bore", 24.0), ("G3.plug", 24.1)):
            read(book, key, size, gauge="CAL-1")
        say(book, "G3.clean", True)
        note(book, "G3.sealant", "batch 7")
        fit(book, "plug-3", "bag 1")
        bench_acts.log_debris(book, "G3", how="brushed", clean=True, **WHO)
        bench_acts.close(book, "lid", **WHO)
        photo = file_photo(book, "OH1", "with scale", b"oil hole")
        first = replace(marks(photo), key="OH1.cover")
        acts.record_marks(book, first, **WHO)
        blind = replace(first, blind=True, second_to=book.entries()[-2].hash)
        acts.record_marks(book, blind, **OTHER)
        slip = next(e for e in book.entries() if isinstance(e.evidence, Read))
        acts.strike(book, slip.hash, "another engine", **WHO)
