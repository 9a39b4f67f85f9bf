"""The plan as rows, and one of them in full."""

from capture.desk.job.alike import is_to_be_looked_up
from capture.desk.look.row import Row
from capture.words.checks import check_line
from capture.words.plans import check_lines
from store.round import Check, Place, Round


def open_limits(known: Round) -> int:
    """Return how many limits are still to be given."""
    return sum(is_to_be_looked_up(check.characteristic) for check in known.checks)


def plan_rows(known: Round, *, only_open: bool = False) -> list[Row]:
    """Return locations and checks in walking order; only those whose limit is open, if asked."""
    rows: list[Row] = []
    for place in known.places:
        checks = [
            check
            for check in place.checks
            if not only_open or is_to_be_looked_up(check.characteristic)
        ]
        if not only_open or checks:
            rows.append(_place_row(place))
            rows += [_check_row(check) for check in checks]
    return rows


def plan_detail(known: Round, key: str) -> str:
    """Return a location or a check in full, line by line; empty where there is none."""
    if not key:
        return ""
    if "." in key:
        check = next((each for each in known.checks if each.key == key), None)
        if check is None:
            return ""
        lines = [check.characteristic.question, *check_lines(check.characteristic)]
        lines.append(check_line(check))
        caution = check.characteristic.caution
        return "\n".join(lines + ([f"Caution: {caution}"] if caution else []))
    place = next((each for each in known.places if each.location.id == key), None)
    if place is None:
        return ""
    at = place.location
    lines = [f"{at.id}  {at.name}"]
    if marks := _marks(place):
        lines.append(marks)
    hides = [hold.hold_point.name for hold in known.holds if at.id in hold.hides]
    lines += [f"hidden by: {', '.join(hides)}"] if hides else []
    if any(check.characteristic.kind == "coverage" for check in place.checks):
        lines.append(f"near hole: {at.near}; far hole: {at.far}")
    return "\n".join(lines)


def unsaid(detail: str, row: Row) -> str:
    """Return the lines of a detail that its row does not say already."""
    said = (row.title, row.below, row.right, f"{row.key}: {row.state}")
    return "\n".join(
        line for line in detail.splitlines() if not any(line in words for words in said)
    )


def location_of(key: str) -> str:
    """Return the location's id of a row's key."""
    return key.partition(".")[0]


def _place_row(place: Place) -> Row:
    at = place.location
    many = len(place.checks)
    right = ", ".join(
        words for words in (_marks(place), f"{many} check{'' if many == 1 else 's'}") if words
    )
    return Row(at.id, f"{at.id}  {at.name}", right=right, bold=True)


def _check_row(check: Check) -> Row:
    asked = check.characteristic
    limit = next((line for line in list(check_lines(asked))[1:]), "no limit: recorded")
    if asked.kind in {"yes-no", "note"}:
        limit = asked.kind
    below = f"{check.state}; {limit}" if check.state != "no limit" else limit
    return Row(check.key, asked.question, below, check.key, level=1, state=check.state)


def _marks(place: Place) -> str:
    at = place.location
    marks = [word for word, so in (("plug", at.plug), ("gallery", at.gallery)) if so]
    marks += [f"group {at.group}"] if at.group else []
    marks += ["never fitted on this block"] if place.never else []
    return ", ".join(marks)
