"""The plan that the choice gives, worked out beside the window."""

from collections.abc import Mapping
from typing import NamedTuple

from msgspec.structs import replace

from capture.desk.start.offered import NOBODYS, Chosen, plan_of, size_text
from capture.desk.start.trim import also_without, without
from capture.errors import CaptureError
from store.errors import StoreError
from store.plan import Job, Plan


class Previewed(NamedTuple):
    """``whole`` is the plan with nothing left out, ``plan`` that which is begun with.

    ``fault`` says why there is none, empty where there is; ``also`` what was left out too.
    """

    whole: Plan | None
    plan: Plan | None
    fault: str = ""
    also: str = ""

    @property
    def words(self) -> str:
        """How much it asks, in one line."""
        if self.plan is None:
            return self.fault
        checks = len(self.plan.walk())
        asked = sum(1 for _, _, c in self.plan.walk() if c.asks and not (c.limit or c.wear_limit))
        parts = [size_text(len(self.plan.locations), len(self.plan.hold_points))]
        parts += [f"{checks} check{'' if checks == 1 else 's'}"] if checks else []
        parts += [f"{asked} limit{'' if asked == 1 else 's'} to be looked up"] if asked else []
        return ", ".join(parts)


def previewed(chosen: Chosen, left_out: frozenset[str], job: Job) -> Previewed:
    """Return the plan of what is chosen, without what is left out; never raises for a bad plan."""
    whole, also = None, ""
    try:
        whole = plan_of(job, chosen)
        names = () if chosen.is_empty else without(whole, left_out)
        also = also_without(whole, left_out) if names else ""
        plan = plan_of(job, chosen._replace(without=names)) if names else whole
    except (CaptureError, StoreError) as refused:
        return Previewed(whole, None, " ".join(str(refused).split()))
    return Previewed(whole, plan, also=also)


def job_in_units(texts: Mapping[str, str]) -> Job:
    """Return a job that says no more than how its numbers are to be read."""
    units = "US" if texts.get("units") == "US" else "metric"
    return replace(NOBODYS, units=units, decimal_comma=texts.get("decimal_comma") == "comma")
