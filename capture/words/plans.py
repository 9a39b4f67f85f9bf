"""A plan -> lines for a person: what it asks, what is still to be looked up, what changed."""

from collections.abc import Iterator

from capture.words.quantities import limit_text
from store.attempt import numbered
from store.change import (
    FIRST,
    Change,
    CheckAdded,
    DecidingSet,
    GaugeSet,
    HoldAdded,
    KitLineSet,
    LimitSet,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
    NeverFitted,
    PartAdded,
)
from store.characteristic import Characteristic, Limit
from store.plan import HoldPoint, Location, Plan
from store.stock import Told

# What a reading of these says besides its number.
_TYPED_AS = {
    "depth": ", BELOW, FLUSH or PROUD",
    "pin": ", the largest that passed and the smallest that stopped",
}


def asked(plan: Plan) -> list[tuple[str, str]]:
    """Return (key, the figure still to be looked up) of every check that lacks its limit."""
    return [
        (key, check.asks)
        for key, _, check in plan.walk()
        if check.asks and not (check.limit or check.wear_limit)
    ]


def cautions(plan: Plan) -> list[str]:
    """Return every caution of the plan once: the job's, the checks', the hold points'."""
    several = [
        *plan.job.cautions,
        *(check.caution for _, _, check in plan.walk()),
        *(hold.caution for hold in plan.hold_points),
    ]
    return [caution for caution in dict.fromkeys(several) if caution]


def plan_lines(plan: Plan, *, with_job: bool = True) -> Iterator[str]:
    """Yield what a plan asks, location by location, hold point by hold point."""
    if with_job:
        job = plan.job
        yield f"job {job.number}: {job.engine}, for {job.customer}, by {job.shop} ({job.units})"
    for location in plan.locations:
        yield ""
        yield from _location_lines(location)
    if plan.hold_points:
        yield ""
    for hold in plan.hold_points:
        yield from _hold_lines(hold)
    yield from _things(plan)
    yield ""
    yield summary(plan)


def summary(plan: Plan) -> str:
    """Return how much it asks, in one line."""
    checks = len(plan.walk())
    return (
        f"{checks} check{'' if checks == 1 else 's'} at {len(plan.locations)} "
        f"location{'' if len(plan.locations) == 1 else 's'}, {len(plan.hold_points)} hold "
        f"point{'' if len(plan.hold_points) == 1 else 's'}"
    )


def _location_lines(location: Location) -> Iterator[str]:
    marks = [word for word, is_so in (("plug", location.plug), ("gallery", location.gallery))
             if is_so]  # fmt: skip
    if location.group:
        marks.append(f"easily mixed up within {location.group}")
    told = f"  ({', '.join(marks)})" if marks else ""
    yield f"{location.id}  {location.name}{told}"
    for check in location.characteristics:
        yield f"  {check.id:<16} {check.question}"
        for line in check_lines(check):
            yield f"  {'':<16} {line}"


def check_lines(check: Characteristic) -> Iterator[str]:
    """Yield how a check is read, and what it is judged by."""
    yield ", ".join(part for part in (_how(check), grid_text(check), _with(check)) if part)
    for which, limit in (("", check.limit), ("for a used part: ", check.wear_limit)):
        if limit:
            yield f"{which}{limit_line(limit, check.kind)}"
    if check.asks and not (check.limit or check.wear_limit):
        yield f"to be looked up: {check.asks}"


def _how(check: Characteristic) -> str:
    if check.formula:
        return f"computed: {check.formula}"
    if check.of:
        return f"agreement of {check.of[0]} and {check.of[1]}"
    unit = "" if check.unit in {"1", "count"} else f" in {check.unit}"
    datum = f" from {check.datum}" if check.datum else ""
    typed = _TYPED_AS.get(check.kind, "")
    return f"{check.kind}{unit}{datum}{typed}"


def grid_text(check: Characteristic) -> str:
    """Return the grid in words: "top, middle x along, across, 2 times; largest"."""
    if not check.is_grid:
        return ""
    sides = " x ".join(", ".join(side) for side in (check.positions, check.axes) if side)
    times = f"{check.repeats} times" if check.repeats > 1 else ""
    read = ", ".join(part for part in (sides, times) if part)
    return f"{read}; the {check.take} counts"


def _with(check: Characteristic) -> str:
    tool = check.gauge or check.instrument
    part = f"part {check.part}" if check.part else ""
    return ", ".join(word for word in (f"with {tool}" if tool else "", part) if word)


def limit_line(limit: Limit, kind: str) -> str:
    """Return a limit of a kind of check with where it comes from."""
    rule = ", the value alone" if limit.rule == "simple" else ""
    settled = f'; printed "{limit.printed}", settled: {limit.settled}' if limit.settled else ""
    words = limit_text(limit, depth=kind == "depth", kind=kind)
    return f"{words}{rule} ({limit.source}{settled})"


def _hold_lines(hold: HoldPoint) -> Iterator[str]:
    asks = [f"photos: {', '.join(hold.roles)}"] if hold.roles else []
    asks += ["galleries logged clean"] if hold.debris else []
    asks += ["a photo of what closes it"] if hold.seal else []
    yield f"hold point {hold.id}: {hold.name}, hides {', '.join(hold.hides)}"
    if asks:
        yield f"  asks for {'; '.join(asks)}"


def _things(plan: Plan) -> Iterator[str]:
    for part in plan.parts:
        where = f" at {part.location}" if part.location else ""
        kit = f", from kit line {part.kit}" if part.kit else ""
        yield f"part {part.id}: {part.name}{where}{kit}"
    for line in plan.kit:
        yield f"kit line {line.id}: {line.count} x {line.name}"
    for gauge in plan.gauges:
        yield f"gauge {gauge.id}: {gauge.kind}"


def change_line(told: Told, plan: Plan, home: str) -> str:
    """Return one change of the plan as it stands, with who made it, when and why.

    ``home`` is the bench that began the book: an entry of another is told with its name.
    """
    record = told.record
    change, reason = getattr(record, "change", None), getattr(record, "reason", "")
    words = change_words(change, plan) if change is not None else "changed"
    why = f": {reason}" if reason else ""
    return f"entry {numbered(told.stamp, home)}, {told.stamp.at}, {told.stamp.by}: {words}{why}"


def change_words(change: Change, plan: Plan) -> str:
    """Return what a change did to a plan, as a clause."""
    if isinstance(change, LimitSet | DecidingSet):
        return _limit_words(change, plan)
    if isinstance(change, LocationAdded | LocationRenamed | LocationMoved | NeverFitted):
        return _location_words(change)
    return _thing_words(change)


def _location_words(
    change: LocationAdded | LocationRenamed | LocationMoved | NeverFitted,
) -> str:
    match change:
        case LocationAdded():
            where = f" after {change.after}" if change.after else ""
            return f"location {change.location.id} ({change.location.name}) was added{where}"
        case LocationRenamed():
            return f"location {change.location} is now called {change.name}"
        case LocationMoved():
            turn = "first" if change.after == FIRST else f"after {change.after}"
            return f"location {change.location} is now walked {turn}"
        case NeverFitted():
            return f"{change.location} was never fitted on this block (photo {change.photo[:12]})"


def _limit_words(change: LimitSet | DecidingSet, plan: Plan) -> str:
    if isinstance(change, DecidingSet):
        return f"{change.key} is judged by its {change.judged_by} limit"
    which = "limit" if change.which == "new" else "wear limit"
    if change.limit is None:
        return f"{change.key} has no {which}"
    kind = plan.characteristic(change.key)[1].kind
    return f"the {which} of {change.key} is {limit_line(change.limit, kind)}"


def _thing_words(change: CheckAdded | HoldAdded | GaugeSet | PartAdded | KitLineSet) -> str:
    match change:
        case CheckAdded():
            return f"check {change.location}.{change.check.id} was added"
        case HoldAdded():
            return f"hold point {change.hold_point.id} ({change.hold_point.name}) was added"
        case GaugeSet():
            return f"gauge {change.gauge.id} ({change.gauge.kind}) was registered"
        case PartAdded():
            return f"part {change.part.id} ({change.part.name}) was added"
        case KitLineSet():
            return f"kit line {change.line.id} is {change.line.count} x {change.line.name}"
