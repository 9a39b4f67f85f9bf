"""What stands where there is no box: how the value comes, and what it waits for."""

from capture.desk.location.captions import name_of
from capture.desk.location.echo import figures_of
from capture.desk.location.history import looked_words
from capture.words.checks import grid_count
from capture.words.quantities import is_told_as_depth, quantity_text
from store.characteristic import Characteristic
from store.evidence import Marked, Read
from store.formulas.formula import names, parse
from store.plan import key_of
from store.round import Check, Round

NOTHING_MEASURED = (
    "Nothing is measured here. Photos are filed as everywhere; plugs, parts and debris are kept "
    "on the Job screen (F8)."
)


def instead_of(check: Check, known: Round, *, photo: str) -> str:
    """Return how a check without a box gets its value; ``photo`` is the one shown, "" for none."""
    asked = check.characteristic
    if asked.kind == "coverage":
        return _of_photo(check, photo=photo)
    how = "Worked out from two routes to the same thing; nothing is typed here."
    if asked.of is None:
        how = f"Worked out as {_in_names(asked.formula, check, known)}; nothing is typed here."
    return how


def sources_of(asked: Characteristic) -> tuple[str, ...]:
    """Return the keys of the checks that a worked-out one comes from, each once."""
    if asked.of is not None:
        return tuple(dict.fromkeys(key_of(route) for route in asked.of))
    return tuple(dict.fromkeys(ref.key for ref in names(parse(asked.formula))))


def _in_names(formula: str, check: Check, known: Round) -> str:
    """Return a formula with the names of its checks instead of their keys."""
    said = formula
    for key in sorted({ref.key for ref in names(parse(formula))}, key=len, reverse=True):
        said = said.replace(key, name_of(known.check(key), check.location.id))
    return said


def _of_photo(check: Check, *, photo: str) -> str:
    if check.characteristic.shape != "round":
        return (
            f"This hole is a {check.characteristic.shape}: only round holes are measured on a "
            "photo. File the photo, and prove it with a wire or a pin in a check of its own."
        )
    if not photo:
        return "Measured on a photo: take one first, straight into the hole."
    if check.current is None:
        return "Measured on a photo: place the two rims on it."
    record = check.current.record
    looked = looked_words(record) if isinstance(record, Marked) else []
    again = "Rims placed again make a new value; the earlier one stays."
    return "\n".join((*looked, again))


def source_words(check: Check, here: str = "") -> str:
    """Return what a worked-out value has from a check, or waits for: "Bore 38.51 mm".

    ``here`` is the location that it is said at: another one is named.
    """
    name = name_of(check, here)
    current = check.current
    if current is None or check.value is None:
        return f"{name}: {grid_count(check) if check.missing else 'not measured yet'}"
    record = current.record
    if isinstance(record, Read) and record.zero is None and not check.characteristic.is_grid:
        return f"{name} {figures_of(record, '')} {record.face}".strip()
    depth = is_told_as_depth(check.characteristic)
    return f"{name} {quantity_text(check.value, depth=depth)}"
