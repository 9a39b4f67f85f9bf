"""What of a job's entries counted at any moment.

``upto`` is a moment: how many entries had arrived. A waiver stands only as long as what it was
given for, and a hold point closed rightly or not at that moment, so moments are looked at again.
What counted at a moment never changes with what arrives later, so it is remembered; what else is
asked for many times of one moment is remembered until the next entry.
"""

from collections.abc import Iterable

from store.change import NeverFitted
from store.characteristic import Spot
from store.codec import Entry
from store.evidence import (
    Closed,
    CloseRefused,
    Derived,
    Fitted,
    MapPlaced,
    Marked,
    PlanChanged,
    Read,
    Reworked,
)
from store.formulas.wiring import Wire
from store.told.by_subject import BySubject, Told
from store.told.values import part_of


class Telling(BySubject):
    """What the entries say, and what of it counted at any moment."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self._counted: dict[tuple[str, int], Entry | None] = {}
        self._began: dict[tuple[str, int], list[tuple[int, str]]] = {}
        self._cells: dict[tuple[str, int], dict[Spot, Entry]] = {}
        self._inputs: dict[tuple[str, int], tuple[str, ...] | None] = {}
        super().__init__(entries)

    def add(self, entry: Entry) -> None:
        """Take in the next entry."""
        super().add(entry)
        if self._began or self._cells or self._inputs:
            self._began, self._cells, self._inputs = {}, {}, {}

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
            if isinstance(entry.evidence, Reworked) and self.stood(position, entry, upto)
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
            if self.stood(position, entry, upto)
        )

    def _replacements(self, part: str, upto: int) -> list[tuple[int, str]]:
        """Return when another piece was fitted in a part's stead."""
        found, before = [], ""
        name = next((p.name for p in self.plan_at(upto).parts if p.id == part), part)
        for position, entry in self.fittings.get(part, ()):
            piece = entry.evidence
            if isinstance(piece, Fitted) and self.stood(position, entry, upto):
                if before and piece.identity != before:
                    found.append((position, f"{name} was replaced"))
                before = piece.identity
        return found

    def counting(self, key: str, upto: int) -> Entry | None:
        """Return the attempt at a check that counted then: the last neither struck nor void."""
        known = (key, upto)
        if known not in self._counted:
            self._counted[known] = self._counting(key, upto)
        return self._counted[known]

    def _counting(self, key: str, upto: int) -> Entry | None:
        for position, entry in reversed(self.attempts(key)):
            if self.stood(position, entry, upto) and not self.void(entry, upto):
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
                and self.stood(position, entry, upto)
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

    def closed(self, hold_id: str, upto: int | None = None) -> Told | None:
        """Return the entry that closed a hold point, unless struck or opened again since."""
        upto = self.now if upto is None else upto
        last = None
        for position, entry in self.tries[hold_id]:
            if self.stood(position, entry, upto) and not isinstance(entry.evidence, CloseRefused):
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


def _shown(entry: Entry) -> str:
    """Return the photo that says that a block never had something."""
    change = entry.evidence.change if isinstance(entry.evidence, PlanChanged) else None
    return change.photo if isinstance(change, NeverFitted) else ""


def _is_second(entry: Entry) -> bool:
    return isinstance(entry.evidence, Marked) and entry.evidence.blind


def _place(key: str) -> str:
    return key.partition(".")[0]
