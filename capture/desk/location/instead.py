"""What stands where there is no box: how the value comes, and what it waits for."""

from capture.words.checks import grid_count
from capture.words.quantities import is_told_as_depth, quantity_text
from store.formula import names, parse
from store.plan import Characteristic, key_of
from store.round import Check

NOTHING_MEASURED = (
    "Nothing is measured here. Photos are filed as everywhere; plugs, parts and debris are kept "
    "on the Job screen (F8)."
)


def instead_of(check: Check, *, photo: str) -> str:
    """Return how a check without a box gets its value; ``photo`` is the one shown, "" for none."""
    asked = check.characteristic
    if asked.kind == "coverage":
        return _of_photo(check, photo=photo)
    how = "Worked out from two routes to the same thing; nothing is typed here."
    if asked.of is None:
        how = f"Worked out as {asked.formula}; nothing is typed here."
    return how


def sources_of(asked: Characteristic) -> tuple[str, ...]:
    """Return the keys of the checks that a worked-out one comes from, each once."""
    if asked.of is not None:
        return tuple(dict.fromkeys(key_of(route) for route in asked.of))
    return tuple(dict.fromkeys(ref.key for ref in names(parse(asked.formula))))


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
    return "Measured on a photo. Rims placed again make a new value; the earlier one stays."


def source_words(check: Check) -> str:
    """Return what a worked-out value has from a check, or waits for: "K1.bore  38.51 mm"."""
    if check.value is not None:
        depth = is_told_as_depth(check.characteristic)
        return f"{check.key}  {quantity_text(check.value, depth=depth)}"
    waits = grid_count(check) if check.missing else "not measured yet"
    return f"{check.key}  {waits}"
