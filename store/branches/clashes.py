"""What two benches did to the same thing while neither knew of the other, shown and not settled."""

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from store.branches.chains import where
from store.change import changed
from store.characteristic import Spot
from store.codec import Entry
from store.errors import BadPlan
from store.evidence import Closed, CloseRefused, Fitted, Marked, PlanChanged, Read, Reopened, Struck
from store.plan import Plan
from store.round import Check, Round

Kind = Literal[
    "read twice", "hold point twice", "plan", "part twice", "behind closed", "closed unproven",
    "struck twice",
]  # fmt: skip
_Ours = dict[tuple[str, str, Spot | None], Entry]


class Clash(Struct, frozen=True):
    """One thing that both benches did: what it is of, and a sentence. ``ours`` and ``theirs`` are
    the entries (their hashes), empty where there is none on that side.
    """  # noqa: D205 - one sentence

    kind: Kind
    of: str
    words: str
    ours: str = ""
    theirs: str = ""


class Handed(Struct, frozen=True):
    """A check whose counting attempt is another since the merge; ``bench`` wrote that one."""

    key: str
    bench: str
    was: Check
    now: Check


def clashes(
    ours: Iterable[Entry], theirs: Iterable[Entry], before: Plan, after: Round
) -> tuple[Clash, ...]:
    """Return what both sides did to the same thing since they parted.

    ``before`` is the plan here before the merge, ``after`` the round after it.
    """
    mine, yours = list(ours), list(theirs)
    return (
        *both_did(mine, yours, before),
        *_behind_closed((*mine, *yours), after),
        *(
            Clash(
                "closed unproven", hold.hold_point.id,
                f"{hold.hold_point.id} is closed, and with what both benches know "
                f"{', '.join(dict.fromkeys(key for key, _ in hold.unproven))} is unproven",
            )
            for hold in after.holds
            if hold.closed and hold.unproven
        ),
    )  # fmt: skip


def both_did(ours: Iterable[Entry], theirs: Iterable[Entry], before: Plan) -> tuple[Clash, ...]:
    """Return that part of ``clashes`` that follows from the entries alone."""
    mine, yours = list(ours), list(theirs)
    return (*_twice(mine, yours), *_plan_clashes(before, yours))


def handed(before: Round, after: Round, benches: dict[str, str]) -> tuple[Handed, ...]:
    """Return the checks that another attempt counts at now; ``benches`` is by entry."""
    earlier = {check.key: check for check in before.checks}
    found = []
    for now in after.checks:
        was, current = earlier.get(now.key), now.current
        if was is None or current is None:
            continue
        if was.current is None or was.current.stamp.entry != current.stamp.entry:
            found.append(Handed(now.key, benches[current.stamp.entry], was, now))
    return tuple(found)


def _twice(ours: list[Entry], theirs: list[Entry]) -> list[Clash]:
    """Return what both did: the last of each side, in the order of theirs."""
    mine = {subject: entry for entry in ours if (subject := _subject(entry))}
    yours = {subject: entry for entry in theirs if (subject := _subject(entry))}
    found = []
    for (kind, of, spot), entry in yours.items():
        there = mine.get((kind, of, spot))
        if there is not None and kind:
            found.append(_clash(kind, of, spot, there, entry))
    return found


def _subject(entry: Entry) -> tuple[Kind, str, Spot | None] | None:
    match entry.evidence:
        case Read(key=key, spot=spot):
            return "read twice", key, spot
        case Marked(key=key, blind=False):
            return "read twice", key, None
        case Closed(hold_point=hold) | Reopened(hold_point=hold) | CloseRefused(hold_point=hold):
            return "hold point twice", hold, None
        case Fitted(part=part):
            return "part twice", part, None
        case Struck(entry=cited):
            return "struck twice", cited, None
    return None


def _clash(kind: Kind, of: str, spot: Spot | None, ours: Entry, theirs: Entry) -> Clash:
    at = f" at {spot.words}" if spot is not None and spot.words else ""
    words = {
        "read twice": f"{of}{at} was read at both: {_said(ours)}, and {_said(theirs)}, which "
        "arrived last",
        "hold point twice": f"{of} was handled at both: {_said(ours)}, and {_said(theirs)}, "
        "which arrived last",
        "part twice": f"what went on as {of} was said at both: {_said(ours)}, and "
        f"{_said(theirs)}, which arrived last",
        "struck twice": f"entry {of[:12]} was struck at both ({where(ours)}, {where(theirs)})",
    }[kind]
    return Clash(kind, of, words, ours.hash, theirs.hash)


def _said(entry: Entry) -> str:
    record = entry.evidence
    match record:
        case Read(text=text):
            said = repr(text)
        case Marked():
            said = "marks on a photo"
        case Fitted(identity=identity):
            said = repr(identity)
        case _:
            said = entry.kind
    return f"{said} by {entry.by} ({where(entry)})"


def _plan_clashes(plan: Plan, theirs: list[Entry]) -> list[Clash]:
    """Return their changes of the plan that do not fit the plan as it is here."""
    found = []
    for entry in theirs:
        if not isinstance(entry.evidence, PlanChanged):
            continue
        try:
            plan = changed(plan, entry.evidence.change)
        except BadPlan as error:
            words = f"their change of the plan ({where(entry)}) does not fit here: {error}"
            found.append(Clash("plan", where(entry), words, theirs=entry.hash))
    return found


def _behind_closed(entries: Iterable[Entry], after: Round) -> list[Clash]:
    """Return the checks read since they parted that a hold point hides, closed at another bench.

    Whoever read it and then closed over it knew of it.
    """
    hidden = {check.key: check for check in after.checks if check.hidden}
    closed = {hold.hold_point.id: hold.closed for hold in after.holds if hold.closed}
    new = {entry.hash for entry in entries if isinstance(entry.evidence, Closed)}
    found = {}
    for entry in entries:
        record = entry.evidence
        if not isinstance(record, Read | Marked) or record.key not in hidden:
            continue
        by = [
            hold
            for hold in hidden[record.key].hold_points
            if hold in closed and closed[hold].entry in new and closed[hold].bench != entry.bench
        ]
        if by:
            words = f"{record.key} was read ({where(entry)}) and lies behind {by[0]}, closed since"
            found[record.key] = Clash("behind closed", record.key, words, entry.hash)
    return list(found.values())
