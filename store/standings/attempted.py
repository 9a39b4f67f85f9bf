"""The attempts at one check: what each is called, its value, and what has come of it since."""

from msgspec.structs import replace

from annotate.errors import UnitMismatch
from annotate.quantity import Quantity
from store.attempt import Attempt, Second
from store.characteristic import Characteristic
from store.codec import Entry
from store.evidence import Judged, Marked
from store.formulas.bands import Banded, band_of
from store.standings.check_state import record_of
from store.standings.look import View
from store.standings.stocktaking import stamp_of, strike_of
from store.told.telling import Telling
from store.told.values import value_of


class Naming:
    """What the attempts at one check are called."""

    def __init__(self, told: Telling, key: str, characteristic: Characteristic) -> None:
        self._began = [position for position, _ in told.began(key, told.now)]
        self._found = characteristic.found
        self._first = "as found" if self._found else "attempt 1"

    def at(self, position: int) -> str:
        """Return the name of the attempt that an entry at this position belongs to."""
        number = sum(began <= position for began in self._began) if self._began else 0
        if number == 0:
            return self._first
        return f"attempt {number if self._found else number + 1}"


def attempt_of(
    view: View, number: int, entry: Entry, characteristic: Characteristic, naming: Naming
) -> Attempt:
    """Return one attempt, or one reading of a grid, with its value and all that was said of it."""
    told = view.told
    value, why = value_of(record_of(entry), characteristic)
    verdicts = [
        (stamp_of(judged), judged.evidence)
        for _, judged in told.judgings.get(entry.hash, ())
        if isinstance(judged.evidence, Judged)
    ]
    stamp, last = verdicts[-1] if verdicts else (None, None)
    return Attempt(
        number=number,
        stamp=stamp_of(entry),
        record=record_of(entry),
        name=naming.at(told.by_hash[entry.hash][0]),
        value=value,
        why_no_value=why,
        verdict=last.verdict if last else None,
        other=last.other if last else None,
        verdict_stamp=stamp,
        earlier_verdicts=tuple((stamp, judged.verdict) for stamp, judged in verdicts[:-1]),
        struck=strike_of(told, entry),
        void=told.void(entry, told.now),
        suspect=view.suspicion.of(entry.hash),
        band=_band(value, characteristic),
    )


def _band(value: Quantity | None, characteristic: Characteristic) -> Banded | None:
    if value is None or not characteristic.bands:
        return None
    try:
        return band_of(value, characteristic.bands)
    except UnitMismatch:
        return None  # a table in another unit, which no plan file and no act lets through


def grid_readings(
    view: View, key: str, characteristic: Characteristic, naming: Naming
) -> tuple[Attempt, ...]:
    """Return the readings that a grid's value was made of, those that no longer count among them.

    Without ``view.every_reading`` only those that were struck; none for a check that is no grid.
    """
    if not characteristic.is_grid:
        return ()
    told = view.told
    cells = {entry.hash for entry in told.cells(key, told.now).values()}
    found = []
    for number, (_, entry) in enumerate(told.reads[key], start=1):
        if not view.every_reading and not told.struck_by(entry.hash, told.now):
            continue
        attempt = attempt_of(view, number, entry, characteristic, naming)
        replaced = attempt.counts and entry.hash not in cells
        found.append(replace(attempt, void="replaced by a later one") if replaced else attempt)
    return tuple(found)


def seconds_of_check(
    view: View, key: str, characteristic: Characteristic, naming: Naming
) -> tuple[Second, ...]:
    """Return what was marked blind beside the marks that count, each compared with those."""
    told = view.told
    blind = [e for _, e in told.marks[key] if isinstance(e.evidence, Marked) and e.evidence.blind]
    if not blind:
        return ()
    from store.standings.seconds import seconds_of  # noqa: PLC0415 - loads budgets, and few jobs have any

    return tuple(
        seconds_of(told, entry, attempt_of(view, number, entry, characteristic, naming))
        for number, entry in enumerate(blind, start=1)
    )
