"""What the hand should be asked before it goes on: slips of a reading, fits that look wrong."""

from annotate.quantity import UNITS, Quantity
from capture import slips
from capture.expected import Expected, expected_of_limit, expected_of_readings
from capture.sizes.part_fit import fit
from capture.sizes.series import NOMINAL_STEP_MM
from store.characteristic import Characteristic, Spot
from store.evidence import Derived, Read
from store.judge import limit_for
from store.told.telling import Telling


def suspected_slips(told: Telling, read: Read) -> tuple[str, ...]:
    """Return what to ask about a reading that looks like a slip, empty for an ordinary one."""
    check = told.plan.characteristic(read.key)[1]
    if read.quantity is None:
        return ()
    gauge = told.plan.gauge(read.gauge) if read.gauge else None
    found = slips.suspect(read, check=check, gauge=gauge, expected=_expected(told, check, read))
    return tuple(slip.question for slip in found)


def _expected(told: Telling, check: Characteristic, read: Read) -> list[Expected]:
    """Return where this reading should lie, by what is already known."""
    expected = []
    others = _neighbours(told, check, read.key, read.spot)
    if others:
        expected.append(expected_of_readings(others))
    elif (before := _before(told, read)) is not None:
        expected.append(expected_of_readings([before], "what was read here before"))
    limited = expected_of_limit(limit_for(check))
    return expected + ([limited] if limited else [])


def _neighbours(told: Telling, check: Characteristic, key: str, spot: Spot) -> list[Quantity]:
    """Return the other readings of the grid that count."""
    if not check.is_grid:
        return []
    others = (told.spot_reading(key, s, told.now) for s in check.spots if s != spot)
    return [
        entry.evidence.quantity
        for entry in others
        if entry and isinstance(entry.evidence, Read) and entry.evidence.quantity
    ]


def _before(told: Telling, read: Read) -> Quantity | None:
    """Return the value of this check that counts, for it is being read again."""
    entry = told.counting(read.key, told.now)
    record = entry.evidence if entry else None
    return record.quantity if isinstance(record, Read | Derived) else None


def fit_hints(told: Telling, key: str) -> tuple[str, ...]:
    """Return a sentence for each fit that this check is part of and that looks wrong.

    A fit is a difference of two lengths whose limit is narrow: a press fit, a clearance.
    """
    wiring, hints = told.wiring_at(told.now), []
    for user in wiring.users.get(key, ()):
        wires = dict.fromkeys(wire.key for wire in wiring.inputs[user])
        if len(wires) == 2 and _asks_for_a_fit(wiring.checks[user]):  # noqa: PLR2004 - a part and its bore
            first, second = wires
            # Press fits are written part minus bore, clearances bore minus part.
            part, bore = (second, first) if "bore" in first.rpartition(".")[2] else (first, second)
            sizes_mm = [_size_mm(told, each) for each in (part, bore)]
            if sizes_mm[0] is not None and sizes_mm[1] is not None:
                hints.append(fit(sizes_mm[0], sizes_mm[1]))
    return tuple(hint for hint in hints if hint)


def _asks_for_a_fit(check: Characteristic) -> bool:
    """Return whether a computed check asks two sizes to be nearly alike."""
    limit = limit_for(check)
    bounds = [b for b in (limit.at_least, limit.at_most) if b is not None] if limit else []
    return (
        check.kind == "computed"
        and " - " in check.formula
        and UNITS[check.unit][1] == "length"
        and bool(bounds)
        and all(abs(b.to("mm").value) < NOMINAL_STEP_MM for b in bounds)
    )


def _size_mm(told: Telling, key: str) -> float | None:
    entry = told.counting(key, told.now)
    record = entry.evidence if entry else None
    if not isinstance(record, Read | Derived) or record.quantity is None:
        return None
    if UNITS[record.quantity.unit][1] != "length":
        return None  # a formula may mix kinds
    size_mm = record.quantity.to("mm").value
    return size_mm if size_mm > 0 else None
