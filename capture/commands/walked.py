"""A round -> lines for a person: locations in walking order, then hold points and counts."""

from collections.abc import Iterator

from capture.commands.hold_words import seal_wanted
from capture.words.checks import grid_count, notes_of, spot_text, value_text
from capture.words.owed import next_check, open_checks, wants_of
from capture.words.quantities import count_text, is_told_as_depth, limit_text
from store.attempt import numbered
from store.evidence import Read
from store.judge import limit_for
from store.round import Attempt, Check, Hold, Place, Round

_STATE = 18  # the widest word of a state
_ID = 14
_MOST_UNPROVEN = 12  # more are counted: each is told above, at its location


def round_lines(walked: Round, *, only_open: bool = False, at: str = "") -> Iterator[str]:
    """Yield the round; ``only_open`` leaves out what is proven, ``at`` all other locations."""
    job = walked.job
    yield f"job {job.number}: {job.engine}, for {job.customer}, at {job.shop}"
    if walked.follows:
        yield f"comeback of job {walked.follows}"
    for place in places_shown(walked, only_open=only_open, at=at):
        yield ""
        yield from _place_lines(walked, place, only_open=only_open, close_by=bool(at))
    holds = holds_shown(walked, only_open=only_open, at=at)
    yield from [""] if holds else []
    for hold in holds:
        yield from hold_lines(walked, hold, at=at)
    if not at:
        yield from (f"count: {sentence}" for sentence in walked.counts_open)
        yield from _suspect_lines(walked)
        yield ""
        yield _tally_line(walked)
        if (following := next_check(walked)) is not None:
            yield f"next: {following.key}, {following.characteristic.question}"
        elif (waiting := next((h for h in holds if h.closed is None), None)) is not None:
            ready = "what is told above" if waiting.unproven else "nothing any more: close it"
            name = waiting.hold_point.id
            yield f"nothing is left to measure; hold point {name} waits for {ready}"


def places_shown(walked: Round, *, only_open: bool, at: str) -> list[Place]:
    """Return the places that are asked for, in walking order."""
    return [
        place
        for place in walked.places
        if (not at or place.location.id == at)
        and (not only_open or open_checks(place) or wants_of(walked, place))
    ]


def holds_shown(walked: Round, *, only_open: bool, at: str) -> list[Hold]:
    """Return the hold points that are asked for, in closing order."""
    return [
        hold
        for hold in walked.holds
        if (not at or at in hold.hides)
        and (not only_open or hold.closed is None or hold.unproven or hold.unsealed)
    ]


def _place_lines(walked: Round, place: Place, *, only_open: bool, close_by: bool) -> Iterator[str]:
    """Yield one place; ``close_by`` asks each open question in full."""
    home = walked.home
    photos = [photo for photo in place.photos if photo.struck is None]
    yield f"{place.location.id}  {place.location.name}  ({count_text(len(photos), 'photo')})"
    if place.never:
        number = numbered(place.never, home)
        yield f"  never fitted on this block, said {place.never.by}, entry {number}"
    for want in wants_of(walked, place):
        yield f"  unproven: {want}"
    for check in open_checks(place) if only_open else place.checks:
        yield from check_lines(check, home, history=not only_open)
        if close_by and not check.current:
            yield f"  {'':<{_STATE}} {check.characteristic.question}"
    if not only_open:
        for stamp, what in place.reworked:
            yield f"  worked on: {what} ({stamp.by}, entry {numbered(stamp, home)})"
        yield from (f"  waived by {w.decided_by}: {w.reason}" for w in place.waivers if w.stands)


def check_lines(check: Check, home: str, *, history: bool = True) -> Iterator[str]:
    """Yield where a check stands; with ``history`` what was struck, and earlier attempts too.

    ``home`` is the bench that began the book: entries of another are told with its name.
    """
    state = "excused" if check.excused else check.state
    value = value_text(check, check.current) if check.current else ""
    if not check.current and check.missing:
        value = "" if check.why == grid_count(check) else f"{grid_count(check)}  "
    name = f"  ({check.name})" if check.name not in {"", "attempt 1"} else ""
    head = f"  {state:<{_STATE}} {check.characteristic.id:<{_ID}} {value}{name}{_limit(check)}"
    yield head.rstrip()
    pad = f"  {'':<{_STATE}} "
    for note in notes_of(check):
        if not note.startswith("waived by"):
            yield f"{pad}{note}"
    # Of a grid's readings only what was struck: the rest is told by 'benchproof check'.
    struck = (reading for reading in check.readings if reading.struck)
    for attempt in (*check.attempts, *struck) if history else ():
        if line := attempt_line(check, attempt, home):
            yield f"{pad}{line}"
    for waiver in check.waivers:
        if waiver.stands:
            yield (
                f"{pad}waived by {waiver.decided_by}: {waiver.reason}; owner: {waiver.owner_agreed}"
            )


def attempt_line(check: Check, attempt: Attempt, home: str) -> str:
    """Return one line on an attempt that does not count any more, empty for the one that does."""
    entry = f"entry {numbered(attempt.stamp, home)}"
    value = value_text(check, attempt)
    if check.characteristic.is_grid and isinstance(attempt.record, Read):
        value = f"{spot_text(attempt.record.spot)}: {value}"
    if attempt.struck:
        return f"struck: {entry}, {value} ({attempt.struck.reason})"
    # A check that is hidden is called "as left", which no attempt of it is.
    now = check.current.name if check.current else check.name
    if attempt.void and attempt.name != now:
        return f"{attempt.name}: {entry}, {value}, {attempt.state} ({attempt.void})"
    if attempt.void:
        return f"void: {entry}, {value} ({attempt.void})"
    is_reading = check.characteristic.is_grid and isinstance(attempt.record, Read)
    if attempt is check.current or is_reading:
        return ""
    return f"before: {entry}, {value}, {attempt.state}"


def _limit(check: Check) -> str:
    limit = limit_for(check.characteristic)
    if limit is None or check.characteristic.kind == "agreement":
        return ""
    asked = check.characteristic
    words = limit_text(limit, depth=is_told_as_depth(asked), kind=asked.kind)
    which = "wear limit, " if limit is check.characteristic.wear_limit else ""
    return f"  [{which}{words}: {limit.source}]"


def hold_lines(walked: Round, hold: Hold, *, at: str = "") -> Iterator[str]:
    """Yield where a hold point stands; with ``at`` only what that location still owes it.

    What is unproven behind another hold point that it hides is told there, once.
    """
    tried = f", refused {len(hold.refusals)} x" if hold.refusals else ""
    opened_again = f", reopened {len(hold.reopened)} x" if hold.reopened else ""
    name = f"({hold.hold_point.name})"
    yield f"hold point {hold.hold_point.id}: {hold.state}{tried}{opened_again}  {name}"
    if hold.unsealed:
        yield f"  {seal_wanted(hold.hold_point.id)}"
    hidden = walked.plan.closed_before(hold.hold_point.id)
    elsewhere = {pair for other in hidden for pair in walked.hold(other).unproven}
    mine = [pair for pair in hold.unproven if not at or pair[0].partition(".")[0] == at]
    own = [pair for pair in mine if pair not in elsewhere]
    if at or len(own) > _MOST_UNPROVEN:
        where = dict.fromkeys(key.partition(".")[0] for key, _ in own)
        yield from [f"  {len(own)} unproven at {', '.join(where)}"] if own else []
    else:
        yield from (f"  unproven {key}: {why}" for key, why in own)
    # That another hold point is open is no more to do: what it waits for is counted.
    told = [
        key for key, _ in elsewhere if key not in hidden and (not at or key.partition(".")[0] == at)
    ]
    if told:
        yield f"  and the {len(told)} unproven of {', '.join(hidden)}"


def _suspect_lines(walked: Round) -> Iterator[str]:
    for state in walked.gauges:
        if state.suspect:
            yield f"gauge {state.gauge.id} is suspect since {state.since}: {state.suspect}"


def _tally_line(walked: Round) -> str:
    excused = sum(bool(check.excused) for check in walked.checks)
    counts = dict(walked.tally())
    counts["not measured"] -= sum(
        check.state == "not measured" for check in walked.checks if check.excused
    )
    words = [f"{count} {state}" for state, count in counts.items() if count]
    return ", ".join([*words, *([f"{excused} excused"] if excused else [])])
