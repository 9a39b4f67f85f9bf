"""An invented job with a bit of everything: grids, fits, plugs, kit, hold points in hold points."""

from pathlib import Path
from typing import Any

import msgspec

from annotate.quantity import Quantity
from store.book import Book
from store.change import Change
from store.characteristic import Characteristic, Limit, Spot
from store.evidence import Read, Zero
from store.plan import Gauge, HoldPoint, Job, KitLine, Location, Part, Plan
from store.round import Check
from store.verify import verify
from store.written import acts, bench_acts, plan_acts
from tests.store.small_job import VERSION, WHO, answer, reading

MM = "mm"
OWN = "builder's own"


def mm(value: float) -> Quantity:
    return Quantity(value, MM)


def length(name: str, **members: Any) -> Characteristic:
    return Characteristic(id=name, kind="length", question=f"{name}?", unit=MM, **members)


def computed(name: str, formula: str, **members: Any) -> Characteristic:
    return Characteristic(
        id=name, kind="computed", question=f"{name}?", unit=MM, formula=formula, **members
    )


def plan() -> Plan:
    return Plan(
        job=Job(number="K-231", engine="inline six", customer="Ilves", shop="Tamm & Daughter"),
        locations=(
            Location(
                id="J1",
                name="first main journal",
                characteristics=(
                    length(
                        "size", gauge="MIC-2", positions=("front", "rear"), axes=("X", "Y"),
                        limit=Limit(OWN, at_least=mm(59.96), at_most=mm(60.0)),
                        wear_limit=Limit(OWN, at_least=mm(59.9), at_most=mm(60.0)), found=True,
                    ),
                    computed(
                        "round", "out_of_round(J1.size)", limit=Limit(OWN, at_most=mm(0.02))
                    ),
                ),
            ),
            Location(
                id="M1",
                name="first main bearing",
                characteristics=(
                    length("bore", gauge="BG-1", part="shell-1"),
                    computed(
                        "gap", "M1.bore - J1.size",
                        limit=Limit(OWN, at_least=mm(0.03), at_most=mm(0.1)),
                    ),
                    Characteristic(
                        id="bolts", kind="torque", question="how tight?", unit="N.m",
                        asks="the torque of the cap bolts",
                    ),
                ),
            ),
            Location(
                id="G3",
                name="third gallery plug",
                characteristics=(
                    length("bore", gauge="CAL-1"),
                    length("plug", gauge="CAL-1", part="plug-3"),
                    computed(
                        "nip", "G3.plug - G3.bore",
                        limit=Limit(OWN, at_least=mm(0.02), at_most=mm(0.2)),
                    ),
                    Characteristic(id="clean", kind="yes-no", question="brushed?", unit="1"),
                    Characteristic(id="sealant", kind="note", question="which?", unit="1"),
                ),
                plug=True,
                gallery=True,
                group="gallery plugs",
            ),
            Location(id="G4", name="fourth gallery plug", plug=True, group="gallery plugs"),
            Location(
                id="OH1",
                name="first oil hole",
                characteristics=(
                    Characteristic(
                        id="cover", kind="coverage", question="how much is covered?", unit="%",
                        limit=Limit(OWN, at_most=Quantity(41.0, "%")),
                    ),
                ),
            ),
        ),
        hold_points=(
            HoldPoint(id="caps", name="the main caps", hides=("J1", "M1"), roles=("fitted",)),
            HoldPoint(
                id="lid", name="the lid", hides=("G3", "G4", "caps"), debris=True, seal=True
            ),
        ),
        gauges=(
            Gauge("MIC-2", "micrometer", mm(0.001), mm(0.002)),
            Gauge("CAL-1", "digital calliper", mm(0.01), mm(0.02)),
            Gauge("BG-1", "bore gauge", mm(0.001), mm(0.001), set_on="MIC-2", difference=True),
        ),
        parts=(
            Part("shell-1", "first main shell", "M1"),
            Part("plug-3", "third plug", "G3", kit="plugs"),
            Part("plug-4", "fourth plug", "G4", kit="plugs"),
        ),
        kit=(KitLine("plugs", "gallery plugs", 2),),
    )  # fmt: skip


def begin(root: Path, the_plan: Plan | None = None) -> Book:
    return Book.create(
        root, the_plan or plan(), at=WHO["at"], bench="north", by=WHO["by"], version=VERSION
    )


def read(book: Book, key: str, value: float, **members: Any) -> Check:
    """Keep a reading; ``members`` replace those of the record ("unit" is that of the value)."""
    unit = members.pop("unit", MM)
    record = msgspec.structs.replace(reading(key, value, unit=unit), **members)
    return acts.record_reading(book, record, **WHO)


def say(book: Book, key: str, said: bool) -> Check:
    return acts.record_reading(book, answer(key, said), **WHO)


def note(book: Book, key: str, words: str) -> Check:
    return acts.record_reading(book, Read(key=key, text=words, quantity=None), **WHO)


JOURNAL = {("front", "X"): 59.981, ("front", "Y"): 59.985, ("rear", "X"): 59.979,
           ("rear", "Y"): 59.983}  # fmt: skip


def journal(book: Book, cells: dict[tuple[str, str], float] | None = None) -> Check:
    """Read the whole journal, each of its four spots once."""
    for (position, axis), value in (cells or JOURNAL).items():
        read(book, "J1.size", value, spot=Spot(position, axis), gauge="MIC-2")
    return book.round().check("J1.size")


def zero_on(book: Book, key: str) -> Zero:
    entry = book.told.counting(key, book.told.now)
    assert entry is not None
    quantity = entry.evidence.quantity  # type: ignore[union-attr] # a reading or a derived value
    assert quantity is not None
    return Zero(quantity, entry.hash, key)


def dial(book: Book, key: str, shown: float, *, on: str = "J1.size", **members: Any) -> Check:
    """Read a bore gauge that was zeroed on another check: the part is bigger by ``shown``."""
    return read(
        book, key, shown, gauge="BG-1", zero=zero_on(book, on), direction="bigger", **members
    )


def fit(book: Book, part: str, identity: str, **members: Any) -> None:
    bench_acts.fit(book, part, identity, **members, **WHO)


def strike_last(book: Book, key: str) -> None:
    """Strike the last reading of a check that counts."""
    standing = [
        entry for _, entry in book.told.reads[key]
        if not book.told.struck_by(entry.hash, book.told.now)
    ]  # fmt: skip
    acts.strike(book, standing[-1].hash, "read wrongly", **WHO)


def unproven(book: Book, hold: str) -> dict[str, list[str]]:
    """Return what a hold point waits for: the clauses by key."""
    found: dict[str, list[str]] = {}
    for key, why in book.round().hold(hold).unproven:
        found.setdefault(key, []).append(why)
    return found


def change(book: Book, what: Change, reason: str = "the manual says so") -> None:
    plan_acts.change_plan(book, what, reason, **WHO)


def limit(most: float, unit: str = MM) -> Limit:
    return Limit(OWN, at_most=Quantity(most, unit))


def state(book: Book, key: str) -> str:
    return book.round().check(key).state


def waive(book: Book, hold: str, key: str) -> None:
    bench_acts.waive(
        book, hold, key, reason="late", decided_by="R. Tamm", owner_agreed="by phone", **WHO
    )


def sound(book: Book) -> bool:
    """Return whether verify finds nothing; the marks of these tests are not measured ones."""
    return [f for f in verify(book.root) if f.code != "coverage-differs"] == []
