"""Where a check stands, in words."""

from annotate.result import Known
from capture.words.quantities import count_text, is_told_as_depth, quantity_text
from store.characteristic import Spot
from store.evidence import Marked, Read
from store.formulas.bands import Banded
from store.report.figures import listed
from store.round import Attempt, Check


def check_line(check: Check) -> str:
    """Return one line on where a check stands."""
    parts = [f"{check.key}: {check.state}"]
    if check.current:
        parts.append(value_text(check, check.current))
    parts += notes_of(check)
    return ", ".join(parts)


def value_text(check: Check, attempt: Attempt) -> str:
    """Return what an attempt says: a reading as it was typed, a coverage both ways round."""
    record = attempt.record
    if isinstance(record, Read):
        return _reading_text(check, attempt, record)
    if isinstance(record, Marked):
        return _coverage_text(check, attempt, record)
    if attempt.value is None:
        return attempt.why_no_value or "no value"
    if check.characteristic.kind == "agreement":
        return f"En {attempt.value.value:.2f}"
    depth = is_told_as_depth(check.characteristic)
    band = f" ({band_text(attempt.band)})" if attempt.band else ""
    many = f", {check.characteristic.take} of {len(check.characteristic.spots)} readings"
    made_of = many if check.characteristic.is_grid else ""
    return f"{quantity_text(attempt.value, depth=depth)}{band}{made_of}"


def _reading_text(check: Check, attempt: Attempt, read: Read) -> str:
    text = " ".join(read.text.split())
    if read.took_a_unit:
        text += f" ({check.characteristic.unit} assumed)"
    if read.zero is not None and read.quantity is not None:
        on = read.zero.words or quantity_text(read.zero.size)
        joint = "as" if read.direction == "same" else "than"
        text += f" {joint} {on}: {quantity_text(read.quantity)}"
    return f"{text} ({band_text(attempt.band)})" if attempt.band else text


def band_text(band: Banded) -> str:
    """Return what a check's table says of a value: "next ring; may also be standard ring"."""
    also = f"; may also be {listed(band.also)}" if band.also else ""
    return f"by the table: {band.name or band.why or 'in none of its bands'}{also}"


def _coverage_text(check: Check, attempt: Attempt, marked: Marked) -> str:
    parts = [
        f"{word} {quantity_text(result.quantity)}"
        for word, result in (("covered", marked.result.covered), ("open", marked.result.open))
        if isinstance(result, Known)
    ]
    limit = check.characteristic.limit
    if limit and limit.of != "covered" and attempt.value is not None:
        parts.insert(0, f"{limit.of} {quantity_text(attempt.value)}")
    return ", ".join(parts) or attempt.why_no_value or "no value"


def notes_of(check: Check) -> list[str]:
    """Return the clauses that stand beside a check's state: why, suspect, asked for, waived."""
    notes = [check.why] if check.why else []
    if check.suspect:
        notes.append(check.suspect)
    if check.state == "no limit" and check.characteristic.asks:
        notes.append(f"no limit was given yet ({check.characteristic.asks})")
    if (en := disagreement(check)) is not None:
        notes.append(
            f"a second person's blind marks do NOT agree with these (En {en:.2f}, above 1): mark "
            "again, or confirm with a gauge"
        )
    if check.waiver:
        notes.append(f"waived by {check.waiver.decided_by} ({check.waiver.reason})")
    return notes


def disagreement(check: Check) -> float | None:
    """Return the greatest En above 1 of second marks beside the marks that count, or None.

    Two values of one thing then differ by more than both persons' own doubt (ISO 13528, ISO/IEC
    17043). The verdict stays that of the marks that count.
    """
    if check.current is None:
        return None
    counts = check.current.stamp.entry
    seconds = [each for each in check.seconds if each.second_to == counts and each.attempt.counts]
    return max((each.en for each in seconds if each.en is not None and each.en > 1), default=None)


def spot_text(spot: Spot) -> str:
    """Return where in a grid a reading belongs; the first of plain repeats is "no. 1"."""
    return spot.words or "no. 1"


def grid_count(check: Check) -> str:
    """Return "3 of 6 readings"."""
    spots = check.characteristic.spots
    return f"{len(spots) - len(check.missing)} of {count_text(len(spots), 'reading')}"
