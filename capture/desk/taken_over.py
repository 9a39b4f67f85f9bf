"""The gauges of one job taken over into another: the same gauges hang on the same wall. No Qt."""

from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from capture.words.quantities import count_text
from store.book import Book
from store.change import Change, GaugeSet
from store.plan import Gauge, Plan

_DEMO = "demo-job"


class Register(NamedTuple):
    """The gauges of a job that nothing is against; ``suspect`` is how many are left behind."""

    number: str
    gauges: tuple[Gauge, ...]
    suspect: int = 0
    is_demo: bool = False

    @property
    def words(self) -> str:
        """What would be taken over: "Take over the gauges of job 0417 (12)"."""
        return f"Take over the gauges of job {self.number} ({len(self.gauges)})"

    @property
    def about(self) -> str:
        """What comes with them, and what does not."""
        if not self.suspect:
            return "As they stand there, with their last checks"
        return f"As they stand there; {count_text(self.suspect, 'suspect one')} left behind"


def read_register(root: Path) -> Register:
    """Return the register of a book as it stands; raises NotABook, Damaged."""
    with Book.open(root, read_only=True) as book:
        known = book.round()
    sound = tuple(state.gauge for state in known.gauges if not state.suspect)
    is_demo = root.name.startswith(_DEMO)
    return Register(known.job.number, sound, len(known.gauges) - len(sound), is_demo)


def with_gauges(plan: Plan, register: Register) -> Plan:
    """Return a plan with the gauges of a register; of one that both have, the plan's own."""
    return replace(plan, gauges=(*plan.gauges, *_new(register, plan)))


def taking_over(register: Register, plan: Plan) -> list[Change]:
    """Return the changes that enter what a register has and a plan lacks, one for each gauge."""
    return [GaugeSet(gauge) for gauge in _new(register, plan)]


def _new(register: Register, plan: Plan) -> tuple[Gauge, ...]:
    there = {gauge.id for gauge in plan.gauges}
    return tuple(gauge for gauge in register.gauges if gauge.id not in there)
