"""The entries of one job, sorted by what they speak of; the plan, strikes and photos at any moment.

``upto`` is a moment: how many entries had arrived.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable

from store.change import NeverFitted, changed
from store.characteristic import Characteristic
from store.codec import Entry
from store.errors import BadPlan, Damaged
from store.evidence import (
    Closed,
    CloseRefused,
    DebrisLogged,
    Derived,
    Evidence,
    Fitted,
    GaugeCleared,
    GaugeSuspected,
    JobStarted,
    Judged,
    KitCounted,
    MapPlaced,
    Marked,
    OwnerSaid,
    PaperKept,
    PhotoTaken,
    PlanChanged,
    Read,
    Reopened,
    Reworked,
    SlipAsked,
    Struck,
    TakenOut,
    Waiver,
)
from store.formulas.wiring import Wiring
from store.plan import Plan, Role

Told = tuple[int, Entry]  # how many entries came before it, and the entry

# Which list an entry goes to, and which of its members it is found by.
_SORTED: dict[type, tuple[str, str]] = {
    Read: ("reads", "key"),
    Marked: ("marks", "key"),
    Derived: ("derived", "key"),
    SlipAsked: ("slips", "key"),
    PhotoTaken: ("filings", "location"),
    TakenOut: ("outs", "location"),
    DebrisLogged: ("debris", "location"),
    MapPlaced: ("placings", "location"),
    Fitted: ("fittings", "part"),
    KitCounted: ("counts", "line"),
    GaugeSuspected: ("suspicions", "gauge"),
    GaugeCleared: ("suspicions", "gauge"),
    Waiver: ("waivers", "key"),
    CloseRefused: ("tries", "hold_point"),
    Closed: ("tries", "hold_point"),
    Reopened: ("tries", "hold_point"),
}


class BySubject:
    """What the entries say, by subject; more may be added. The first must be the plan."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.entries: list[Entry] = []
        self.by_hash: dict[str, Told] = {}
        self.reads: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.marks: defaultdict[str, list[Told]] = defaultdict(list)  # by key, second ones too
        self.derived: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.filings: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.waivers: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.tries: defaultdict[str, list[Told]] = defaultdict(list)  # by hold point
        self.reworks: defaultdict[str, list[Told]] = defaultdict(list)  # by location or key
        self.fittings: defaultdict[str, list[Told]] = defaultdict(list)  # by part
        self.outs: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.debris: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.never: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.suspicions: defaultdict[str, list[Told]] = defaultdict(list)  # by gauge
        self.counts: defaultdict[str, list[Told]] = defaultdict(list)  # by kit line
        self.slips: defaultdict[str, list[Told]] = defaultdict(list)  # by key
        self.placings: defaultdict[str, list[Told]] = defaultdict(list)  # by location
        self.others: list[Told] = []  # papers, the owner's words, changes of the plan
        self.strikes: dict[str, Told] = {}  # by the entry struck; the first strike is the one
        self.verdicts: dict[str, Entry] = {}  # by the entry judged; the last verdict is the one
        self.judgings: defaultdict[str, list[Told]] = defaultdict(list)  # by the entry judged
        self._plans: list[tuple[int, Plan]] = []  # from which moment each holds
        self._wirings: list[Wiring] = []
        for entry in entries:
            self.add(entry)

    @property
    def now(self) -> int:
        """The present moment: how many entries there are."""
        return len(self.entries)

    @property
    def start(self) -> JobStarted:
        """The first entry; raises Damaged unless it is the plan."""
        first = self.entries[0].evidence if self.entries else None
        if not isinstance(first, JobStarted):
            raise Damaged("the book does not begin with its plan; run verify")
        return first

    @property
    def plan(self) -> Plan:
        """The plan as it stands now, with every change at the bench."""
        return self.plan_at(self.now)

    def plan_at(self, upto: int) -> Plan:
        """Return the plan as it stood at a moment."""
        return self._plans[self._plan_number(upto)][1]

    def wiring_at(self, upto: int) -> Wiring:
        """Return what is worked out from what, at a moment."""
        return self._wirings[self._plan_number(upto)]

    def _plan_number(self, upto: int) -> int:
        if not self._plans:
            raise Damaged("the book does not begin with its plan; run verify")
        if self._plans[-1][0] < upto:  # nearly always: the plan of now
            return len(self._plans) - 1
        return max(0, bisect_left(self._plans, upto, key=lambda known: known[0]) - 1)

    def check_at(self, key: str, upto: int) -> Characteristic | None:
        """Return a check of the plan as it stood at a moment, None if it was not in it."""
        return self.wiring_at(upto).checks.get(key)

    def add(self, entry: Entry) -> None:
        """Take in the next entry."""
        told = (len(self.entries), entry)
        self.entries.append(entry)
        self.by_hash.setdefault(entry.hash, told)
        self._sort(told, entry.evidence)

    def _sort(self, told: Told, evidence: Evidence) -> None:
        if place := _SORTED.get(type(evidence)):
            lists, subject = place
            getattr(self, lists)[getattr(evidence, subject)].append(told)
            return
        match evidence:
            case JobStarted():
                self._hold_plan(told[0], evidence.plan)
            case PlanChanged():
                self._change_plan(told, evidence)
            case Judged():
                self.verdicts[evidence.subject] = told[1]
                self.judgings[evidence.subject].append(told)
            case Struck():
                self.strikes.setdefault(evidence.entry, told)
            case Reworked():
                for scope in evidence.scope:
                    self.reworks[scope].append(told)
            case PaperKept() | OwnerSaid():
                self.others.append(told)

    def _hold_plan(self, position: int, plan: Plan) -> None:
        if position == 0:  # a second plan is verify's to find
            self._plans.append((position, plan))
            self._wirings.append(Wiring(plan))

    def _change_plan(self, told: Told, evidence: PlanChanged) -> None:
        self.others.append(told)
        if isinstance(evidence.change, NeverFitted):
            self.never[evidence.change.location].append(told)
        try:
            plan = changed(self.plan_at(told[0]), evidence.change)
        except BadPlan:
            return  # it changes nothing; verify names it
        self._plans.append((told[0], plan))
        self._wirings.append(Wiring(plan))

    def struck_by(self, entry: str, upto: int) -> Entry | None:
        """Return the entry that had struck this one by then, if any."""
        position, strike = self.strikes.get(entry, (upto, None))
        return strike if position < upto else None

    def standing_of(self, told: Iterable[Told], upto: int) -> list[Entry]:
        """Return those of some entries that had arrived by then and were not struck."""
        return [
            entry
            for position, entry in told
            if position < upto and not self.struck_by(entry.hash, upto)
        ]

    def stood(self, position: int, entry: Entry, upto: int) -> bool:
        """Return whether an entry had arrived by then and was not struck."""
        return position < upto and not self.struck_by(entry.hash, upto)

    def verdict_on(self, entry: str, upto: int) -> Told | None:
        """Return the last verdict on an entry that there was by then, if any."""
        return next((t for t in reversed(self.judgings.get(entry, ())) if t[0] < upto), None)

    def photos_at(self, location: str, upto: int) -> list[PhotoTaken]:
        """Return the photos filed at a location by then and not struck."""
        there = self.standing_of(self.filings.get(location, ()), upto)
        return [e.evidence for e in there if isinstance(e.evidence, PhotoTaken)]

    def missing(self, location: str, roles: tuple[Role, ...], upto: int) -> set[Role]:
        """Return the roles of which there was no photo at a location then that can be shown."""
        there = self.photos_at(location, upto)
        return set(roles) - {photo.role for photo in there if photo.can_be_shown}

    def is_filed(self, photo: str, upto: int) -> bool:
        """Return whether a photo was filed anywhere by then, and that was not struck."""
        return any(
            taken.photo == photo for where in self.filings for taken in self.photos_at(where, upto)
        )
