"""Do two ways, or two people, agree? The strip that shows both, and the sentence with En."""

from typing import Any

from annotate.errors import AnnotateError
from annotate.quantity import Quantity
from store.agree import Agreement
from store.errors import StoreError
from store.evidence import Derived
from store.plan import key_of
from store.report import words
from store.report.drawing import agreement_strip
from store.report.figures import NBSP, listed, saying
from store.report.trail import Trail
from store.report.values import displayed
from store.report.words import Bits
from store.round import Attempt, Check, Second
from store.told.values import part_of

_SIDES = 2  # of an agreement


def strip(check: Check, trail: Trail) -> dict[str, Any] | None:
    """Return the two values of an agreement on one scale, None where they are not both there."""
    if check.characteristic.kind != "agreement" or check.current is None:
        return None
    routes = _routes(check, check.current, trail)
    if len(routes) != _SIDES:
        return None
    finest = max((q for _, q in routes), key=lambda q: saying(q).decimals)
    return agreement_strip(routes, saying(finest, depth=_is_depth(check.current, trail)))


def _is_depth(current: Attempt, trail: Trail) -> bool:
    if not isinstance(current.record, Derived) or not current.record.from_entries:
        return False
    found = trail.attempt(current.record.from_entries[0])
    return found is not None and found[0].characteristic.is_told_as_depth


def said(check: Check, current: Attempt, trail: Trail) -> Bits:
    """Return in a sentence whether the two agree, by how much they differ, and the En number."""
    agrees = current.verdict is not None and current.verdict.state == "within"
    value = current.value.value if current.value else 0.0
    rows = _routes(check, current, trail)
    gap = ""
    if len(rows) == _SIDES:
        (_, one), (_, two) = rows
        say = max(saying(one), saying(two), key=lambda say: say.decimals)
        gap = f"difference {say.value(abs(one.value - two.value))}; "
    found = _agreement(check, current, trail)
    advice = "" if agrees else f" {_worth_repeating(check, found)}"
    common = listed(found.shared, 3) if found is not None else ""
    common = f" What both have in common does not count: {common}." if common else ""
    return [
        {"bold": "They agree: " if agrees else "They do not agree: "},
        (
            f"{gap}En = {value:.2f}, the difference over its own 95{NBSP}% uncertainty; anything "
            f"up to 1 counts as agreement.{common}{advice}"
        ),
    ]


def _agreement(check: Check, current: Attempt, trail: Trail) -> Agreement | None:
    """Return the comparison worked out again, None where it can't be."""
    if check.current is not current:
        return None
    try:
        return trail.working.agreement_of(check.key, trail.told.now)
    except (StoreError, AnnotateError):
        return None


def _worth_repeating(check: Check, found: Agreement | None) -> str:
    """Return which of two values to read again: the one that is less well known by itself."""
    if found is None or not found.worth_repeating or check.characteristic.of is None:
        return "Read again whichever of the two is easier to repeat."
    first, second = check.characteristic.of
    worse = first if found.worth_repeating == "first" else second
    return f"Read {worse} again first: it is the less well known of the two, and settles more."


def _routes(check: Check, current: Attempt, trail: Trail) -> list[tuple[str, Quantity]]:
    """Return the two values that an agreement compares, in one unit."""
    if not isinstance(current.record, Derived) or check.characteristic.of is None:
        return []
    routes = []
    for route, digest in zip(check.characteristic.of, current.record.from_entries, strict=False):
        found, entry = trail.attempt(digest), trail.entry(digest)
        if found is None or entry is None:
            continue
        part = route.removeprefix(key_of(route)).lstrip(".")
        quantity = part_of(entry, found[0].characteristic, part)[0]
        if not part and (shown := displayed(*found)) is not None:
            quantity = shown[0]
        if quantity is not None:
            routes.append((f"{route}, {words.entry_said(entry, trail.home)}", quantity))
    unit = "%" if routes and routes[0][1].unit == "1" else routes[0][1].unit if routes else ""
    return [(label, quantity.to(unit)) for label, quantity in routes]


def second_said(check: Check, second: Second, trail: Trail) -> Bits:
    """Return what a second person found blind on the same photo, and whether the two agree."""
    blind = second.attempt
    first = trail.attempt(second.second_to)
    bits: Bits = [{"bold": "Second pair of eyes. "}]
    them = f"{blind.stamp.by} placed the rims on the same photo without seeing the first marks"
    shown = displayed(check, blind)
    them += f" and found {shown[1].value(shown[0].value)}" if shown else ""
    bits.append(f"{them} ({words.signed(blind.stamp, trail.home)}).")
    before = displayed(*first) if first else None
    if first is not None and before is not None:
        bits.append(f" First: {before[1].value(before[0].value)}, {first[1].stamp.by}.")
    if second.en is None:
        bits.append(f" How far they agree can't be told: {second.why}.")
    else:
        agree = "They agree" if second.en <= 1 else "They do not agree"
        bits.append(f" {agree}: En{NBSP}{second.en:.2f} by the persons' own doubt; up to 1 agrees.")
    return bits
