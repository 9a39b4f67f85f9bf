"""Several plans and one job -> one plan."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from pathlib import Path
from typing import TypeVar

from capture.errors import BadPlanFile
from capture.plans.fragment import Fragment
from capture.plans.keys import TABLES
from capture.plans.reader import (
    decoded,
    job_of,
    parse_job,
    parse_records,
    plan_of,
    read_bytes,
)
from capture.plans.records import Records
from capture.plans.trimming import hidden_id, settled, trimmed
from store.plan import Gauge, HoldPoint, Job, KitLine, Location, Part, Plan

Made = TypeVar("Made", Location, Gauge, Part, KitLine)
_UNIQUE = {"locations": "location", "gauges": "gauge", "parts": "part", "kit": "kit line"}


def read_job_file(path: Path) -> Job:
    """Return the job of any plan file, or of one that holds [job] alone; raises BadPlanFile."""
    return parse_job(decoded(read_bytes(path), path.name), path.name)


def job_from(options: Mapping[str, str]) -> Job:
    """Return a job from words such as number="A-12"; raises BadPlanFile naming what lacks.

    The names are the keys of [job]; where a list is wanted the word is its only sentence.
    """
    lists = {key.name for key in TABLES["job"] if key.form == "texts"}
    yes = {key.name for key in TABLES["job"] if key.form == "yes"}
    return job_of(
        {
            key: [word] if key in lists else word == "yes" if key in yes else word
            for key, word in options.items()
        }
    )


def combine(
    job: Job,
    fragments: Sequence[Fragment | Plan],
    *,
    each: Mapping[str, tuple[str, ...]] | None = None,
    without: Iterable[str] = (),
) -> Plan:
    """Return one plan of several, in their order, for a job.

    ``each`` replaces lists that the fragments multiply by: {"main": ("1", "2", "3")}. ``without``
    leaves out locations ("G4") and checks ("M1.bore"). Hold points of one id become one that
    hides what each of them hides, in the turn of the last. A plan's own job is left alone.
    Raises BadPlanFile: ids that clash, a list or a location that nobody has, and whatever a file
    is refused for.
    """
    _refuse_unknown_lists(fragments, each or {})
    named = [(_name(one), _records(one, job, each or {})) for one in fragments]
    _refuse_clashes(named)
    together = Records(
        locations=_joined([records.locations for _, records in named]),
        hold_points=_in_closing_order(_merged([records.hold_points for _, records in named])),
        gauges=_joined([records.gauges for _, records in named]),
        parts=_joined([records.parts for _, records in named]),
        kit=_joined([records.kit for _, records in named]),
        tables={key: table for _, records in named for key, table in records.tables.items()},
    )
    left = trimmed(settled(together), tuple(without))
    if not left.locations:
        raise BadPlanFile("a plan needs at least one location: name more plans to combine")
    return plan_of(job, left, "the combined plan")


def _name(one: Fragment | Plan) -> str:
    return one.name if isinstance(one, Fragment) else f"the plan of job {one.job.number}"


def _records(one: Fragment | Plan, job: Job, each: Mapping[str, tuple[str, ...]]) -> Records:
    if isinstance(one, Fragment):
        return parse_records(one.text, one.name, job, each)
    return Records(one.locations, one.hold_points, one.gauges, one.parts, one.kit)


def _refuse_unknown_lists(
    fragments: Sequence[Fragment | Plan], each: Mapping[str, tuple[str, ...]]
) -> None:
    known = {name for one in fragments if isinstance(one, Fragment) for name in one.lists}
    for name, words in each.items():
        if name not in known:
            there = ", ".join(sorted(known)) or "none"
            raise BadPlanFile(f"none of these plans has a list {name!r}; there are {there}")
        if not words:
            raise BadPlanFile(f"the list {name!r} is empty: name what there is one of for each")


def _refuse_clashes(named: list[tuple[str, Records]]) -> None:
    """Refuse ids that two plans give to different things."""
    for (one, first), (other, second) in combinations(named, 2):
        for kind, word in _UNIQUE.items():
            theirs = {record.id: record for record in getattr(second, kind)}
            for record in getattr(first, kind):
                # A gauge that both name alike is one gauge; a location would be walked twice.
                if record.id in theirs and (kind == "locations" or theirs[record.id] != record):
                    raise BadPlanFile(
                        f"{word} {record.id!r} is in {one} and in {other}: give one of them "
                        "another id, or take it out of one"
                    )


def _joined(several: list[tuple[Made, ...]]) -> tuple[Made, ...]:
    """Return all of them, each id once: those that are left are the same."""
    return tuple({record.id: record for records in several for record in records}.values())


def _merged(several: list[tuple[HoldPoint, ...]]) -> list[HoldPoint]:
    """Return one hold point for each id; its turn is where it is named last."""
    found: dict[str, HoldPoint] = {}
    for hold in (hold for holds in several for hold in holds):
        before = found.pop(hold.id, None)
        found[hold.id] = _both(before, hold) if before else hold
    return list(found.values())


def _both(one: HoldPoint, other: HoldPoint) -> HoldPoint:
    cautions = dict.fromkeys(caution for caution in (one.caution, other.caution) if caution)
    return HoldPoint(
        id=one.id,
        name=one.name,
        hides=tuple(dict.fromkeys((*one.hides, *other.hides))),
        roles=tuple(dict.fromkeys((*one.roles, *other.roles))),
        debris=one.debris or other.debris,
        seal=one.seal or other.seal,
        caution=" ".join(cautions),
    )


def _in_closing_order(holds: list[HoldPoint]) -> tuple[HoldPoint, ...]:
    """Return the hold points, none before one that it hides; else in the order they came."""
    ordered: dict[str, HoldPoint] = {}
    waiting = list(holds)
    while waiting:
        ids = {hold.id for hold in waiting}
        ready = [h for h in waiting if not {hidden_id(i) for i in h.hides} & (ids - {h.id})]
        chosen = (ready or waiting)[0]  # in a circle: the plan is refused later, with its reason
        ordered[chosen.id] = chosen
        waiting.remove(chosen)
    return tuple(ordered.values())
