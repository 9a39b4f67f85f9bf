"""The state of one job as the entries tell it: every check, photo and hold point.

The report and the command line print from these records alone; ``store.standing`` makes them.

    Round
      places   Place    one location in walking order: its checks, its photos
        checks   Check    one characteristic: what it stands at, and on which attempt
          attempts Attempt  every value ever given for it, counted or not
      holds    Hold     one hold point in closing order: open or closed, what is unproven

``Check.state`` is the verdict of the attempt that counts: within, outside, too close to call or
not measured. A fifth word, **no limit**, says that there is a value and that the plan gives
nothing to judge it by (a bore that is only measured for the sake of a difference): such a check
asks to be recorded, not to be within something, and is proven as soon as it has a value. Yes-no
checks need no limit: yes is within, no is outside.

The attempt that counts is the latest one that is neither struck nor void. An attempt is void when
what it rests on no longer counts: a difference whose reading was struck or replaced by a later
one, marks on a photo whose filing was struck.
"""

from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.errors import NoSuchEntry
from store.evidence import Derived, Marked, PhotoTaken, Read
from store.plan import Characteristic, HoldPoint, Job, Location, Plan, Role
from store.verdict import State, Verdict

Standing = State | Literal["no limit"]


class Stamp(Struct, frozen=True):
    """Which entry said it, when (a claim) and by whom. ``entry`` is the entry's hash."""

    entry: str
    seq: int
    at: str
    bench: str
    by: str


class Strike(Struct, frozen=True):
    """Who struck a wrong entry, when and why."""

    stamp: Stamp
    reason: str


class Attempt(Struct, frozen=True):
    """One value given for a characteristic.

    ``number`` counts from 1 in the order of entry. ``value`` is the quantity that is judged: the
    reading, the coverage the limit speaks of, or the derived value; None for a yes-no answer and
    for marks that do not carry it (``why_no_value`` then says why). ``verdict`` is the one filed
    for this attempt, None if none was. ``struck`` and ``void`` (a clause, empty if not) say why
    it does not count.
    """

    number: int
    stamp: Stamp
    record: Read | Marked | Derived
    value: Quantity | None = None
    why_no_value: str = ""
    verdict: Verdict | None = None
    verdict_stamp: Stamp | None = None
    struck: Strike | None = None
    void: str = ""

    @property
    def counts(self) -> bool:
        """Whether it is neither struck nor void; the last such attempt is the check's."""
        return self.struck is None and not self.void

    @property
    def answer(self) -> bool | None:
        """The yes or no of a yes-no reading, else None."""
        return self.record.answer if isinstance(self.record, Read) else None

    @property
    def state(self) -> Standing:
        """What this attempt stands at by itself, whether or not it is the one that counts."""
        if self.verdict is not None:
            return self.verdict.state
        if self.answer is not None:
            return "within" if self.answer else "outside"
        return "no limit" if self.value is not None else "not measured"

    @property
    def photo(self) -> str:
        """The id of the photo it was measured on, empty for readings and derived values."""
        return self.record.photo if isinstance(self.record, Marked) else ""


class Photo(Struct, frozen=True):
    """A photo filed at a location. The same photo may be filed at several."""

    stamp: Stamp
    taken: PhotoTaken
    struck: Strike | None = None


class Waived(Struct, frozen=True):
    """Somebody decided in writing to go on although ``key`` is unproven.

    ``key`` is a check, or a location for the photos missing there. ``stands`` is False once it
    is struck, or once what it was given for has changed: a later attempt counts, or a photo is
    missing that was there. A new one is needed then. ``state`` and ``why`` are what was waived.
    """

    stamp: Stamp
    hold_point: str
    key: str
    state: Standing
    reason: str
    decided_by: str
    owner_agreed: str
    stands: bool
    struck: Strike | None = None


class Check(Struct, frozen=True):
    """What is known of one characteristic. See the module for the words of ``state``.

    ``why`` is one clause beside the state ("answered no", "the reading was struck: ..."), often
    empty. ``hold_points`` are the ids of those that hide it, in closing order; ``hidden`` is True
    once one of them was closed.
    """

    key: str
    location: Location
    characteristic: Characteristic
    state: Standing
    why: str = ""
    attempts: tuple[Attempt, ...] = ()
    waivers: tuple[Waived, ...] = ()
    hold_points: tuple[str, ...] = ()
    hidden: bool = False

    @property
    def current(self) -> Attempt | None:
        """The attempt that counts: the last one neither struck nor void."""
        return next((a for a in reversed(self.attempts) if a.counts), None)

    @property
    def value(self) -> Quantity | None:
        """The quantity that counts, None when there is none (or it is a yes or a no)."""
        return self.current.value if self.current else None

    @property
    def answer(self) -> bool | None:
        """The yes or no that counts, None when there is none."""
        return self.current.answer if self.current else None

    @property
    def verdict(self) -> Verdict | None:
        """The verdict that counts, None when nothing was judged."""
        return self.current.verdict if self.current else None

    @property
    def proven(self) -> bool:
        """Whether it is within, or recorded where the plan gives no limit."""
        return self.state in {"within", "no limit"}

    @property
    def waiver(self) -> Waived | None:
        """The latest waiver that stands, if any."""
        return next((w for w in reversed(self.waivers) if w.stands), None)


class Place(Struct, frozen=True):
    """One location: its checks in the plan's order, its photos in order of arrival.

    ``waivers`` are those for photos missing here.
    """

    location: Location
    checks: tuple[Check, ...]
    photos: tuple[Photo, ...] = ()
    waivers: tuple[Waived, ...] = ()

    def photos_of(self, role: Role) -> tuple[Photo, ...]:
        """Return the photos of one role that were not struck."""
        return tuple(p for p in self.photos if p.taken.role == role and p.struck is None)

    def missing(self, roles: tuple[Role, ...]) -> tuple[Role, ...]:
        """Return those of ``roles`` of which there is no photo here that can be shown."""
        return tuple(
            role for role in roles if not any(p.taken.can_be_shown for p in self.photos_of(role))
        )


class Refusal(Struct, frozen=True):
    """A hold point was tried and refused, for these (key, why)."""

    stamp: Stamp
    unproven: tuple[tuple[str, str], ...]


class Hold(Struct, frozen=True):
    """What is known of one hold point.

    ``unproven`` lists (key, why) in walking order for everything it hides that is neither proven
    nor waived; for a photo that is missing the key is the location's id. It is kept up after
    closing too: a reading may be struck when the part is already on, and that must be seen.
    ``waived`` are the waivers it leans on.
    """

    hold_point: HoldPoint
    closed: Stamp | None = None
    refusals: tuple[Refusal, ...] = ()
    unproven: tuple[tuple[str, str], ...] = ()
    waived: tuple[Waived, ...] = ()

    @property
    def state(self) -> Literal["open", "closed"]:
        """Whether the part went on."""
        return "closed" if self.closed else "open"


class Round(Struct, frozen=True):
    """Everything known of one job. ``entries`` counts them; ``last`` is the newest."""

    plan: Plan
    version: str
    started: Stamp
    last: Stamp
    entries: int
    places: tuple[Place, ...]
    holds: tuple[Hold, ...]

    @property
    def job(self) -> Job:
        """The job of the plan."""
        return self.plan.job

    @property
    def checks(self) -> tuple[Check, ...]:
        """Every check in walking order."""
        return tuple(check for place in self.places for check in place.checks)

    def check(self, key: str) -> Check:
        """Return one check by its key "LOCATION.ID"; raises BadPlan naming those there are."""
        self.plan.characteristic(key)
        return next(check for check in self.checks if check.key == key)

    def place(self, location_id: str) -> Place:
        """Return one place by its location's id; raises BadPlan naming those there are."""
        self.plan.location(location_id)
        return next(place for place in self.places if place.location.id == location_id)

    def hold(self, hold_id: str) -> Hold:
        """Return one hold point by its id; raises BadPlan naming those there are."""
        self.plan.hold_point(hold_id)
        return next(hold for hold in self.holds if hold.hold_point.id == hold_id)

    def attempt(self, entry: str) -> Attempt:
        """Return the attempt that one entry's hash belongs to; raises NoSuchEntry."""
        for check in self.checks:
            for attempt in check.attempts:
                if attempt.stamp.entry == entry:
                    return attempt
        raise NoSuchEntry(f"no reading, marks or derived value has the entry {entry[:12]}")

    def tally(self) -> dict[Standing, int]:
        """Return how many checks stand at each word, all five words in a fixed order."""
        words: tuple[Standing, ...] = (
            "within", "outside", "too close to call", "not measured", "no limit",
        )  # fmt: skip
        return {word: sum(check.state == word for check in self.checks) for word in words}
