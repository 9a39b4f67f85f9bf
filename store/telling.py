"""The entries of one job, sorted by what they speak of, and what counted at any moment.

``upto`` is a moment: how many entries had arrived. A waiver stands only as long as what it was
given for, and a hold point closed rightly or not at that moment, so moments are looked at again.
What counted at a moment never changes with what arrives later, so it is remembered; what else is
asked for many times of one moment is remembered until the next entry.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable

from annotate.quantity import Quantity
from annotate.result import Known, Result
from store.change import NeverFitted, changed
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
from store.judge import limit_for, subject_of
from store.plan import Characteristic, Plan, Role, Spot
from store.wiring import Wire, Wiring

Told = tuple[int, Entry]  # how many entries came before it, and the entry

# Which list of a Telling an entry goes to, and which of its members it is found by.
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


class Telling:
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
        self._counted: dict[tuple[str, int], Entry | None] = {}
        self._began: dict[tuple[str, int], list[tuple[int, str]]] = {}
        self._cells: dict[tuple[str, int], dict[Spot, Entry]] = {}
        self._inputs: dict[tuple[str, int], tuple[str, ...] | None] = {}
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
        if self._began or self._cells or self._inputs:
            self._forget()
        self._sort(told, entry.evidence)

    def _forget(self) -> None:
        self._began, self._cells, self._inputs = {}, {}, {}

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

    def attempts(self, key: str) -> list[Told]:
        """Return every entry that gave a check its value, counted or not, in order of arrival."""
        check = self.check_at(key, self.now)
        if check is None:
            return []
        if check.kind == "coverage":
            return [told for told in self.marks[key] if not _is_second(told[1])]
        return self.derived[key] if check.is_grid or check.is_worked_out else self.reads[key]

    def began(self, key: str, upto: int) -> list[tuple[int, str]]:
        """Return when new attempts at a check began, and why, up to a moment."""
        known = (key, upto)
        if known not in self._began:
            self._began[known] = self._begun(key, upto)
        return self._began[known]

    def _begun(self, key: str, upto: int) -> list[tuple[int, str]]:
        check = self.check_at(key, upto)
        # By position: one rework may name a location and its check, and is one all the same.
        found = {
            position: f"reworked: {entry.evidence.what}"
            for scope in (key, _place(key))
            for position, entry in self.reworks.get(scope, ())
            if isinstance(entry.evidence, Reworked) and self._stood(position, entry, upto)
        }
        if check is not None and check.part:
            found |= dict(self._replacements(check.part, upto))
        return sorted(found.items())

    def worked_on(self, location: str, upto: int) -> list[int]:
        """Return when work was begun at a location or at any one check of it, up to a moment."""
        return sorted(
            position
            for scope, reworks in self.reworks.items()
            if _place(scope) == location
            for position, entry in reworks
            if self._stood(position, entry, upto)
        )

    def _replacements(self, part: str, upto: int) -> list[tuple[int, str]]:
        """Return when another piece was fitted in a part's stead."""
        found, before = [], ""
        name = next((p.name for p in self.plan_at(upto).parts if p.id == part), part)
        for position, entry in self.fittings.get(part, ()):
            piece = entry.evidence
            if isinstance(piece, Fitted) and self._stood(position, entry, upto):
                if before and piece.identity != before:
                    found.append((position, f"{name} was replaced"))
                before = piece.identity
        return found

    def _stood(self, position: int, entry: Entry, upto: int) -> bool:
        return position < upto and not self.struck_by(entry.hash, upto)

    def counting(self, key: str, upto: int) -> Entry | None:
        """Return the attempt at a check that counted then: the last neither struck nor void."""
        known = (key, upto)
        if known not in self._counted:
            self._counted[known] = self._counting(key, upto)
        return self._counted[known]

    def _counting(self, key: str, upto: int) -> Entry | None:
        for position, entry in reversed(self.attempts(key)):
            if self._stood(position, entry, upto) and not self.void(entry, upto):
                return entry
        return None

    def spot_reading(self, key: str, spot: Spot, upto: int) -> Entry | None:
        """Return the reading at one spot of a grid that counted then."""
        return self.cells(key, upto).get(spot)

    def cells(self, key: str, upto: int) -> dict[Spot, Entry]:
        """Return the readings that counted then by their spot, the last at each."""
        known = (key, upto)
        if known not in self._cells:
            self._cells[known] = {
                entry.evidence.spot: entry
                for position, entry in self.reads.get(key, ())
                if isinstance(entry.evidence, Read)
                and self._stood(position, entry, upto)
                and not self.void(entry, upto)
            }
        return self._cells[known]

    def inputs(self, key: str, upto: int) -> tuple[str, ...] | None:
        """Return the entries that a grid or a worked-out check rests on, None if one is missing.

        For a check that is typed or measured there are none to rest on: an empty tuple.
        """
        known = (key, upto)
        if known not in self._inputs:
            self._inputs[known] = self._found(key, upto)
        return self._inputs[known]

    def _found(self, key: str, upto: int) -> tuple[str, ...] | None:
        wiring = self.wiring_at(upto)
        if key in wiring.circular:
            return None
        found: list[str] = []
        for wire in wiring.inputs.get(key, ()):
            entry = self._wired(wire, upto)
            if entry is None:
                return None
            found.append(entry.hash)
        return tuple(found)

    def _wired(self, wire: Wire, upto: int) -> Entry | None:
        """Return the entry at the other end of a wire, if it has a value then."""
        if wire.spot is not None:
            return self.spot_reading(wire.key, wire.spot, upto)
        entry = self.counting(wire.key, upto)
        check = self.check_at(wire.key, upto)
        if entry is None or check is None:
            return None
        return entry if part_of(entry, check, wire.part)[0] is not None else None

    def waits_for(self, key: str, upto: int) -> tuple[str, ...]:
        """Return the checks that a worked-out check still waits for, each once."""
        wires = self.wiring_at(upto).inputs.get(key, ())
        return tuple(dict.fromkeys(w.key for w in wires if self._wired(w, upto) is None))

    def counts_same(self, key: str, then: int, now: int) -> bool:
        """Return whether the same attempt (or none) counted at two moments."""
        before, after = self.counting(key, then), self.counting(key, now)
        return (before.hash if before else "") == (after.hash if after else "")

    def void(self, entry: Entry, upto: int) -> str:
        """Return why an attempt counted no longer although it was not struck, or nothing."""
        match entry.evidence:
            case Derived(key=key, from_entries=from_entries):
                return self._void_derived(key, from_entries, upto)
            case Marked(key=key, photo=photo, together=together):
                if all(filed.photo != photo for filed in self.photos_at(_place(key), upto)):
                    return "the filing of its photo was struck"
                return self._outdated(key, entry, upto) or self._parted(together, upto)
            case Read(key=key, zero=zero):
                if zero is not None and (wrong := self.rests_on_struck(zero.entry, upto)):
                    return f"its gauge was zeroed on {wrong}, which was struck"
                return self._outdated(key, entry, upto)
        return ""

    def rests_on_struck(self, cited: str, upto: int) -> str:
        """Return the check whose struck reading a size rests on, empty if on none.

        Only a strike says that a size was wrong: work done since does not change what it was.
        """
        waiting = [cited]
        while waiting:
            digest = waiting.pop()
            record = self.by_hash[digest][1].evidence if digest in self.by_hash else None
            if record is not None and self.struck_by(digest, upto):
                return str(getattr(record, "key", "")) or "what is no reading"
            if isinstance(record, Derived):
                waiting += record.from_entries
            elif isinstance(record, Read) and record.zero is not None:
                waiting.append(record.zero.entry)
        return ""

    def _outdated(self, key: str, entry: Entry, upto: int) -> str:
        """Return why an entry belongs to an earlier attempt, or nothing."""
        begun = self.began(key, upto)
        if not begun:
            return ""
        position = self.by_hash[entry.hash][0]
        return next((why for began, why in begun if began > position), "")

    def _parted(self, together: tuple[str, ...], upto: int) -> str:
        """Return why marks on several photos are no longer measured as one, or nothing."""
        for cited in together:
            entry = self.by_hash[cited][1] if cited in self.by_hash else None
            if entry is None or self.struck_by(cited, upto):
                return "marks that it was measured together with were struck"
            if why := self.void(entry, upto):
                return why
        return ""

    def _void_derived(self, key: str, from_entries: tuple[str, ...], upto: int) -> str:
        if key in self.wiring_at(upto).circular:
            return f"{key} is worked out from itself"
        if self.inputs(key, upto) == from_entries:
            return ""
        for cited in from_entries:
            entry = self.by_hash[cited][1] if cited in self.by_hash else None
            if entry is None:
                return "it cites what is not there"
            other = str(getattr(entry.evidence, "key", ""))
            if self.struck_by(cited, upto):
                return f"{other} was struck"
            if why := self.void(entry, upto):
                return why
        return self._replaced(key, from_entries, upto)

    def _replaced(self, key: str, from_entries: tuple[str, ...], upto: int) -> str:
        current = set(self.inputs(key, upto) or ())
        for cited in from_entries:
            if cited not in current:
                other = getattr(self.by_hash[cited][1].evidence, "key", "")
                return f"{other} was replaced by a later one"
        return "it is not worked out from what counts"

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

    def closed(self, hold_id: str, upto: int | None = None) -> Told | None:
        """Return the entry that closed a hold point, unless struck or opened again since."""
        upto = self.now if upto is None else upto
        last = None
        for position, entry in self.tries[hold_id]:
            if self._stood(position, entry, upto) and not isinstance(entry.evidence, CloseRefused):
                last = (position, entry) if isinstance(entry.evidence, Closed) else None
        return last

    def never_fitted(self, location: str, upto: int) -> Entry | None:
        """Return the entry that says that this block never had it, if one stands.

        It stands on the photo of the bare place, and falls with the filing of that.
        """
        said = self.standing_of(self.never.get(location, ()), upto)
        there = {photo.photo for photo in self.photos_at(location, upto)} if said else set()
        return next((entry for entry in reversed(said) if _shown(entry) in there), None)

    def placing(self, location: str, upto: int) -> Entry | None:
        """Return what gave a location its place on the map, if its photo is still filed."""
        for entry in reversed(self.standing_of(self.placings.get(location, ()), upto)):
            placed = entry.evidence
            if isinstance(placed, MapPlaced) and self.is_filed(placed.photo, upto):
                return entry
        return None

    def is_filed(self, photo: str, upto: int) -> bool:
        """Return whether a photo was filed anywhere by then, and that was not struck."""
        return any(
            taken.photo == photo for where in self.filings for taken in self.photos_at(where, upto)
        )


def value_of(
    record: Read | Marked | Derived, characteristic: Characteristic
) -> tuple[Quantity | None, str]:
    """Return the quantity of an attempt that its limit speaks of, or None and why there is none."""
    if not isinstance(record, Marked):
        return record.quantity, ""
    limit = limit_for(characteristic)
    return _known(subject_of(record.result, limit.of if limit else "covered"))


def part_of(entry: Entry, check: Characteristic, part: str = "") -> tuple[Quantity | None, str]:
    """Return what a route such as "B3.covered.pin" names of an entry, or None and why not."""
    record = entry.evidence
    if not isinstance(record, Read | Marked | Derived):
        return None, "it carries no value"
    if not part or not isinstance(record, Marked):
        return value_of(record, check)
    known: dict[str, Result] = {
        "covered": record.result.covered,
        "open": record.result.open,
        "pin": record.result.largest_pin,
        "offset": record.result.offset,
        "area": record.result.open_area,
        "equivalent": record.result.equivalent_diameter,
    }
    if part not in known:
        return None, f"a coverage has no part {part!r}; it has {', '.join(known)}"
    return _known(known[part])


def _known(result: Result) -> tuple[Quantity | None, str]:
    return (result.quantity, "") if isinstance(result, Known) else (None, result.reason)


def _shown(entry: Entry) -> str:
    """Return the photo that says that a block never had something."""
    change = entry.evidence.change if isinstance(entry.evidence, PlanChanged) else None
    return change.photo if isinstance(change, NeverFitted) else ""


def _is_second(entry: Entry) -> bool:
    return isinstance(entry.evidence, Marked) and entry.evidence.blind


def _place(key: str) -> str:
    return key.partition(".")[0]
