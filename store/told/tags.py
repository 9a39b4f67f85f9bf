"""Which tag belongs to which location of a job.

A location's number is its turn in the order of first appearance: those of the plan that the book
began with, as they stood in it, then each as it was added. It is fixed by that order and not by
where the location stands in the round, nor by the order of its id, because only the past of a
ledger never changes: a location that is moved, renamed or never fitted keeps its number, and a
tag that was printed before an addition stays right after it. Nothing needs to be kept for it.
"""

from store.change import LocationAdded
from store.evidence import PlanChanged
from store.plan import Plan
from store.told.telling import Telling


def tag_numbers(told: Telling) -> dict[str, int]:
    """Return the tag's number of every location of a book, from 1, by location."""
    seen = [location.id for location in told.start.plan.locations]
    standing = {location.id for location in told.plan.locations}
    for entry in told.entries:
        record = entry.evidence
        if isinstance(record, PlanChanged) and isinstance(record.change, LocationAdded):
            added = record.change.location.id
            # One that the plan did not take in (verify names it) must not shift the others.
            if added in standing and added not in seen:
                seen.append(added)
    return _numbered(seen)


def tag_numbers_of_plan(plan: Plan) -> dict[str, int]:
    """Return the same for a plan that no book was begun with yet: as the book will have them."""
    return _numbered([location.id for location in plan.locations])


def _numbered(ids: list[str]) -> dict[str, int]:
    return {location: turn for turn, location in enumerate(ids, 1)}
