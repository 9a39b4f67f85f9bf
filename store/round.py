"""The state of one job as the entries tell it: every check, photo and hold point.

The report and the command line print from these records alone; ``store.standing`` makes them.

    Round
      places   Place    one location in walking order: its checks, its photos
        checks   Check    one characteristic: what it stands at, and on which attempt
          attempts Attempt  every value ever given for it, counted or not
          readings Attempt  of a grid: every reading, with its spot
      holds    Hold     one hold point in closing order: open or closed, what is unproven
      plugs, parts, kit, gauges, papers, owner   what is known of things (store.stock)

``Check.state`` is the verdict of the attempt that counts: within, outside, too close to call or
not measured. A fifth word, **no limit**, says that there is a value and that the plan gives
nothing to judge it by (a bore that is only measured for the sake of a clearance): such a check
asks to be recorded, not to be within something, and is proven as soon as it has a value, unless
the plan still asks for a figure. Yes-no checks need no limit: yes is within, no is outside.

The attempt that counts is the latest one that is neither struck nor void. An attempt is void when
what it rests on no longer counts: a computed value whose reading was struck or replaced by a
later one, marks on a photo whose filing was struck, anything read before the place was worked on
again or its part replaced.
"""

from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from store.attempt import Attempt, Photo, Second, Stamp, Standing, Strike, Waived
from store.characteristic import Characteristic, Spot
from store.errors import NoSuchEntry
from store.evidence import Read
from store.plan import HoldPoint, Job, Location, Plan, Role
from store.stock import GaugeState, KitState, PartState, PlugPlace, Told
from store.verdict import Verdict

__all__ = [
    "Attempt", "Check", "Hold", "Photo", "Place", "Refusal", "Round", "Second", "Stamp",
    "Standing", "Strike", "Told", "Waived",
]  # fmt: skip


class Check(Struct, frozen=True):
    """What is known of one characteristic. See the module for the words of ``state``.

    ``why`` is one clause beside the state ("answered no", "the reading was struck: ..."), often
    empty. ``name`` is the attempt now: "as found", "attempt 2"; "as left" once it is hidden.
    ``readings`` are those of a grid, ``missing`` its spots that still have none. ``suspect`` says
    which gauge the value rests on that may have been wrong; ``excused`` why nothing is asked for
    ("never fitted on this block"). ``seconds`` are marks placed blind by another person, ``slips``
    what was asked about before filing. ``hold_points`` are the ids of those that hide it, in
    closing order; ``hidden`` is True while one of them is closed.
    """

    key: str
    location: Location
    characteristic: Characteristic
    state: Standing
    why: str = ""
    name: str = ""
    attempts: tuple[Attempt, ...] = ()
    readings: tuple[Attempt, ...] = ()
    missing: tuple[Spot, ...] = ()
    suspect: str = ""
    excused: str = ""
    seconds: tuple[Second, ...] = ()
    slips: tuple[Told, ...] = ()
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
        """Whether it is within, or recorded where the plan asks for no limit.

        What rests on a suspect gauge is not; what this block never had needs no proof.
        """
        if self.excused:
            return True
        if self.suspect or (self.state == "no limit" and self.characteristic.asks):
            return False
        return self.state in {"within", "no limit"}

    @property
    def cells(self) -> dict[Spot, Attempt]:
        """The reading that counts at each spot of a grid that has one."""
        return {a.record.spot: a for a in self.readings if a.counts and isinstance(a.record, Read)}

    @property
    def waiver(self) -> Waived | None:
        """The latest waiver that stands, if any."""
        return next((w for w in reversed(self.waivers) if w.stands), None)


class Place(Struct, frozen=True):
    """One location: its checks in the plan's order, its photos in order of arrival.

    ``waivers`` are those for what is missing here as a whole. ``never`` says that this block
    never had it. ``debris`` are its logs, ``attempt`` the number of times work began here,
    ``on_map`` its place on a photo of the block's face, ``neighbours`` the locations that are
    close to it there.
    """

    location: Location
    checks: tuple[Check, ...]
    photos: tuple[Photo, ...] = ()
    waivers: tuple[Waived, ...] = ()
    never: Stamp | None = None
    debris: tuple[Told, ...] = ()
    on_map: Told | None = None
    neighbours: tuple[str, ...] = ()
    reworked: tuple[tuple[Stamp, str], ...] = ()

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
    ``waived`` are the waivers it leans on. ``hides`` are the locations hidden, by way of other
    hold points too. ``seal`` is the photo of what closes it, taken since; ``reopened`` says when
    and why it was opened again.
    """

    hold_point: HoldPoint
    closed: Stamp | None = None
    refusals: tuple[Refusal, ...] = ()
    unproven: tuple[tuple[str, str], ...] = ()
    waived: tuple[Waived, ...] = ()
    hides: tuple[str, ...] = ()
    photos: tuple[Photo, ...] = ()
    seal: Photo | None = None
    reopened: tuple[tuple[Stamp, str], ...] = ()

    @property
    def unsealed(self) -> bool:
        """Whether it is closed and the photo of what closes it is still to come."""
        return self.closed is not None and self.hold_point.seal and self.seal is None

    @property
    def state(self) -> Literal["open", "closed"]:
        """Whether the part went on."""
        return "closed" if self.closed else "open"


class Round(Struct, frozen=True):
    """Everything known of one job. ``entries`` counts them; ``last`` is the newest.

    ``plan`` is the plan as it stands, with every change at the bench. ``counts_open`` are the
    counts that don't close, a sentence each. ``follows`` is the job that this is the comeback of.
    """

    plan: Plan
    version: str
    started: Stamp
    last: Stamp
    entries: int
    places: tuple[Place, ...]
    holds: tuple[Hold, ...]
    plugs: tuple[PlugPlace, ...] = ()
    parts: tuple[PartState, ...] = ()
    kit: tuple[KitState, ...] = ()
    gauges: tuple[GaugeState, ...] = ()
    papers: tuple[Told, ...] = ()
    owner: tuple[Told, ...] = ()
    changes: tuple[Told, ...] = ()
    counts_open: tuple[str, ...] = ()
    follows: str = ""
    follows_entry: str = ""

    @property
    def home(self) -> str:
        """The bench that began the book: its entries are cited by their numbers alone."""
        return self.started.bench

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
            seconds = (second.attempt for second in check.seconds)
            for attempt in (*check.attempts, *check.readings, *seconds):
                if attempt.stamp.entry == entry:
                    return attempt
        raise NoSuchEntry(f"no reading, marks or derived value has the entry {entry[:12]}")

    def tally(self) -> dict[Standing, int]:
        """Return how many checks stand at each word, all five words in a fixed order."""
        words: tuple[Standing, ...] = (
            "within", "outside", "too close to call", "not measured", "no limit",
        )  # fmt: skip
        return {word: sum(check.state == word for check in self.checks) for word in words}
