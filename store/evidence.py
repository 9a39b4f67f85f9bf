"""Frozen records of what happened on a job; each becomes the body of one ledger entry.

A record cites an earlier entry by that entry's hash (64 hex digits) and a photo by its SHA-256.
``key`` is "LOCATION.CHECK" of the plan. Times are ISO 8601 with offset and only a claim. A member
at its default is not written.
"""

from typing import Literal

from msgspec import Struct

from annotate.beside import Repeats
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage
from store.change import Change
from store.characteristic import Doubt, Spot
from store.plan import Plan, Role
from store.verdict import Verdict

View = Literal["direct", "mirror", "borescope"]
Direction = Literal["", "bigger", "smaller", "same"]


class JobStarted(Struct, frozen=True, omit_defaults=True, tag="job started"):
    """The first entry of a book: the whole plan.

    ``follows`` is the job that this one is the comeback of: its number, and the hash of the last
    entry of its book where that book was at hand.
    """

    plan: Plan
    version: str
    follows: str = ""
    follows_entry: str = ""


class PlanChanged(Struct, frozen=True, omit_defaults=True, tag="plan changed"):
    """The plan was changed at the bench; ``reason`` says why."""

    change: Change
    reason: str = ""


class PhotoTaken(Struct, frozen=True, omit_defaults=True, tag="photo taken"):
    """A photo arrived. Sizes are those of the upright picture; None: kept, can't be shown.

    ``location`` is a location's id, or a hold point's for what closes it. ``keys`` are the checks
    it shows, ``gauge`` the gauge in it. ``view`` says whether a mirror or a borescope turned or
    mirrored it, ``up`` in words which way is up on the block. ``stands`` are the words of why it
    is filed here although another location's tag is in the picture.
    """

    photo: str
    suffix: str
    bytes_count: int
    file_name: str
    location: str
    role: Role
    width_px: int | None = None
    height_px: int | None = None
    camera_time: str = ""
    camera: str = ""
    focal_35mm: float | None = None
    keys: tuple[str, ...] = ()
    gauge: str = ""
    view: View = "direct"
    up: str = ""
    stands: str = ""

    @property
    def can_be_shown(self) -> bool:
        """Whether anybody can look at it: what can't be seen proves nothing."""
        return self.width_px is not None


class PaperKept(Struct, frozen=True, omit_defaults=True, tag="paper kept"):
    """An attachment that is no photo of the block: a machine shop's sheet, a manual's page.

    ``paper`` is the SHA-256 of its untouched bytes, ``what`` says in words what it is;
    ``location`` and ``keys`` where it belongs, if anywhere.
    """

    paper: str
    suffix: str
    bytes_count: int
    file_name: str
    what: str
    location: str = ""
    keys: tuple[str, ...] = ()


class MapPlaced(Struct, frozen=True, omit_defaults=True, tag="placed on map"):
    """A location's place on an overall photo of its block face, in pixels of the upright photo.

    The last one counts; ``photo`` must be filed with the role overall.
    """

    location: str
    photo: str
    x_px: float
    y_px: float


class Zero(Struct, frozen=True, omit_defaults=True):
    """What a difference gauge was zeroed to: a size, and the reading it came from, if any."""

    size: Quantity
    entry: str = ""
    words: str = ""


class Read(Struct, frozen=True, omit_defaults=True, tag="reading"):
    """A typed reading. ``text`` is exactly what was typed, ``exact`` its value as a decimal or
    fraction string in ``quantity.unit`` ("17/32"); ``unit_assumed``: the unit was not typed.
    ``face`` is BELOW, FLUSH or PROUD for a depth, else empty. ``answer`` is for yes-no.

    ``half_step`` is half of the last step typed and ``plus_minus`` the typed +-, both in
    ``quantity.unit``. ``spot`` is where in a grid it belongs. With ``zero`` the gauge read a
    difference: ``exact`` is what the dial showed, ``direction`` says of the part whether it is
    bigger or smaller than the zero, and ``quantity`` is the part's size. ``doubts`` are the
    user's own. Temperatures are in degrees Celsius, None where nobody said. ``photos`` show the
    reading being taken.
    """  # noqa: D205 - one paragraph reads better

    key: str
    text: str
    quantity: Quantity | None
    exact: str = ""
    half_step: float = 0.0
    plus_minus: float | None = None
    unit_assumed: bool = False
    face: str = ""
    answer: bool | None = None
    gauge: str = ""
    read_at: str = ""
    spot: Spot = Spot()
    zero: Zero | None = None
    direction: Direction = ""
    doubts: tuple[Doubt, ...] = ()
    part_c: float | None = None
    gauge_c: float | None = None
    photos: tuple[str, ...] = ()

    @property
    def took_a_unit(self) -> bool:
        """Whether a unit was taken for a bare number: what is counted or flush needs none."""
        unit = self.quantity.unit if self.quantity else ""
        return self.unit_assumed and unit not in {"1", "count"} and self.face != "FLUSH"


class SlipAsked(Struct, frozen=True, omit_defaults=True, tag="slip asked"):
    """A typed reading looked like a known slip, and the hand was asked before it was filed.

    ``suspected`` are the slips named. ``answer``: "stands" (it is so, ``words`` say why; the
    reading follows with the same text) or "withdrawn" (it was not filed).
    """

    key: str
    text: str
    suspected: tuple[str, ...]
    answer: Literal["stands", "withdrawn"]
    spot: Spot = Spot()
    words: str = ""


class Marked(Struct, frozen=True, omit_defaults=True, tag="marked"):
    """Marks accepted on a photo and the coverage they gave; enough to compute it again.

    ``blind``: placed by somebody who saw neither the marks nor the value of ``second_to``, the
    entry of the first marks; it is compared with those and never counts instead of them.
    ``lens`` is the camera's profile as it was used on this photo, None where there was none;
    ``lens_paper`` the entry that keeps its file. ``together`` are the entries of marks on other
    photos of the same hole, measured as one with these. ``repeats`` is what marking photos again
    had shown by then, from the marks ``repeats_from``.
    """

    key: str
    photo: str
    layer: Layer
    givens: Givens
    seed: int
    trials: int
    version: str
    result: Coverage
    blind: bool = False
    second_to: str = ""
    lens: LensProfile | None = None
    lens_paper: str = ""
    together: tuple[str, ...] = ()
    repeats: Repeats | None = None
    repeats_from: tuple[str, ...] = ()


class Derived(Struct, frozen=True, omit_defaults=True, tag="derived"):
    """A value computed from other values (a formula, a grid, an agreement), citing their entries.

    ``key`` may be that of the readings themselves: the number made of a grid. ``decisive`` are
    the entries that made it: the largest and the smallest of a range, say.
    """

    key: str
    quantity: Quantity
    from_entries: tuple[str, ...]
    decisive: tuple[str, ...] = ()


class Judged(Struct, frozen=True, omit_defaults=True, tag="judged"):
    """The verdict on one entry (a reading, marks or a derived value), citing it.

    ``other`` is the verdict against the limit that does not decide: the new limit of a part that
    is judged by its wear limit, or the other way round.
    """

    key: str
    subject: str
    verdict: Verdict
    other: Verdict | None = None


class Reworked(Struct, frozen=True, omit_defaults=True, tag="reworked"):
    """Work was done: a new attempt begins for these checks ("LOCATION" is all of its checks).

    What was read before stays as the attempt it was, and must be read again.
    """

    scope: tuple[str, ...]
    what: str


class TakenOut(Struct, frozen=True, omit_defaults=True, tag="taken out"):
    """A plug was taken out and counted, with its size and its old depth as words."""

    location: str
    size: str = ""
    words: str = ""


class Fitted(Struct, frozen=True, omit_defaults=True, tag="fitted"):
    """A part went on or in. ``identity`` is what tells this piece from another of its kind.

    Another piece in the same part's stead voids what was proven on the old one.
    """

    part: str
    identity: str
    words: str = ""
    photos: tuple[str, ...] = ()


class KitCounted(Struct, frozen=True, omit_defaults=True, tag="kit counted"):
    """A line of the kit was opened and counted; ``size`` is one measured or read off a piece."""

    line: str
    count: int
    size: Quantity | None = None
    words: str = ""


class DebrisLogged(Struct, frozen=True, omit_defaults=True, tag="debris logged"):
    """A gallery was cleaned and looked through. ``found`` says in words what came out."""

    location: str
    how: str
    clean: bool
    found: str = ""


class OwnerSaid(Struct, frozen=True, omit_defaults=True, tag="owner said"):
    """What passed between shop and owner: an instruction, advice declined, a yes, something told.

    ``how`` says how it was given: by letter of a date, by phone, in person.
    """

    about: Literal["instruction", "declined", "agreed", "told"]
    words: str
    how: str
    who: str = ""


class GaugeSuspected(Struct, frozen=True, omit_defaults=True, tag="gauge suspected"):
    """A gauge may have been wrong ``since`` a date or time; all that rests on it is unproven."""

    gauge: str
    since: str
    reason: str


class GaugeCleared(Struct, frozen=True, omit_defaults=True, tag="gauge cleared"):
    """A suspicion turned out unfounded; ``reason`` says how that is known."""

    gauge: str
    reason: str


class Struck(Struct, frozen=True, tag="struck"):
    """A wrong entry is struck: it stays legible and no longer counts."""

    entry: str
    reason: str


class Waiver(Struct, frozen=True, tag="waived"):
    """Somebody decided to go on although ``key`` is unproven; the verdict does not change."""

    hold_point: str
    key: str
    reason: str
    decided_by: str
    owner_agreed: str


class CloseRefused(Struct, frozen=True, tag="close refused"):
    """A hold point was tried and refused; (key, why) for each unproven thing."""

    hold_point: str
    unproven: tuple[tuple[str, str], ...]


class Closed(Struct, frozen=True, tag="closed"):
    """A hold point was closed: the part went on."""

    hold_point: str


class Reopened(Struct, frozen=True, tag="reopened"):
    """A closed hold point was opened again: what it hid can be worked on and read again."""

    hold_point: str
    reason: str


class Run(Struct, frozen=True):
    """Consecutive lines of one bench's chain: their numbers, first and last."""

    bench: str
    first: int
    last: int


class Head(Struct, frozen=True):
    """A line of a chain: its bench, its number, its hash."""

    bench: str
    seq: int
    hash: str


class Merged(Struct, frozen=True, omit_defaults=True, tag="merged"):
    """Lines of another copy of the book were taken in: the ``taken`` lines just before this one.

    ``order`` is the order in which all lines of that copy had arrived there, ``heads`` the last
    line of each of its chains: what those who wrote the lines taken in knew of the job. ``fork``
    is the copy's first line that contradicts a line here; from there on nothing of it was taken.
    ``branch`` is the last line of each chain of what was set aside of it: so far the branch that
    is kept beside the book goes at least. With ``taken`` 0 and no fork, the bench began to work
    from a copy of these lines.
    """

    order: tuple[Run, ...]
    heads: tuple[Head, ...]
    taken: int = 0
    fork: Head | None = None
    branch: tuple[Head, ...] = ()


Evidence = (
    JobStarted
    | PlanChanged
    | PhotoTaken
    | PaperKept
    | MapPlaced
    | Read
    | SlipAsked
    | Marked
    | Derived
    | Judged
    | Reworked
    | TakenOut
    | Fitted
    | KitCounted
    | DebrisLogged
    | OwnerSaid
    | GaugeSuspected
    | GaugeCleared
    | Struck
    | Waiver
    | CloseRefused
    | Closed
    | Reopened
    | Merged
)
