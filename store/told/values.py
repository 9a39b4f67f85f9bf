"""The value that a record carries: of a reading, of marks on a photo, of what was worked out."""

from annotate.quantity import Quantity
from annotate.result import Known, Result
from store.characteristic import Characteristic
from store.codec import Entry
from store.evidence import Derived, Marked, Read
from store.judge import limit_for, subject_of


def value_of(
    record: Read | Marked | Derived, characteristic: Characteristic
) -> tuple[Quantity | None, str]:
    """Return the quantity of an attempt that its limit speaks of, or None and why there is none."""
    if not isinstance(record, Marked):
        return record.quantity, ""
    limit = limit_for(characteristic)
    return _known(subject_of(record.result, limit.of if limit else "covered"))


def part_of(entry: Entry, check: Characteristic, part: str = "") -> tuple[Quantity | None, str]:
    """Return what a route such as "B3.covered.pin" names of an entry, or None and why not."""
    record = entry.evidence
    if not isinstance(record, Read | Marked | Derived):
        return None, "it carries no value"
    if not part or not isinstance(record, Marked):
        return value_of(record, check)
    known: dict[str, Result] = {
        "covered": record.result.covered,
        "open": record.result.open,
        "pin": record.result.largest_pin,
        "offset": record.result.offset,
        "area": record.result.open_area,
        "equivalent": record.result.equivalent_diameter,
    }
    if part not in known:
        return None, f"a coverage has no part {part!r}; it has {', '.join(known)}"
    return _known(known[part])


def _known(result: Result) -> tuple[Quantity | None, str]:
    return (result.quantity, "") if isinstance(result, Known) else (None, result.reason)
