"""Frozen records of what happened on a job; each becomes the body of one ledger entry.

A record cites an earlier entry by that entry's hash (64 hex digits) and a photo by its SHA-256.
``key`` is "LOCATION.CHARACTERISTIC" of the plan. Times are ISO 8601 with offset and only a claim.
"""

from msgspec import Struct

from annotate.givens import Givens
from annotate.marks import Layer
from annotate.quantity import Quantity
from annotate.result import Coverage
from store.plan import Plan, Role
from store.verdict import Verdict


class JobStarted(Struct, frozen=True, tag="job started"):
    """The first entry of a book: the whole plan."""

    plan: Plan
    version: str


class PhotoTaken(Struct, frozen=True, tag="photo taken"):
    """A photo arrived. Sizes are those of the upright picture; None: kept, can't be shown."""

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

    @property
    def can_be_shown(self) -> bool:
        """Whether anybody can look at it: what can't be seen proves nothing."""
        return self.width_px is not None


class Read(Struct, frozen=True, tag="reading"):
    """A typed reading. ``text`` is exactly what was typed, ``exact`` its value as a decimal or
    fraction string in ``quantity.unit`` ("17/32"); ``unit_assumed``: the unit was not typed.
    ``face`` is BELOW, FLUSH or PROUD for a depth, else empty. ``answer`` is for yes-no.
    """  # noqa: D205 - one paragraph reads better

    key: str
    text: str
    quantity: Quantity | None
    exact: str = ""
    unit_assumed: bool = False
    face: str = ""
    answer: bool | None = None
    gauge: str = ""
    read_at: str = ""

    @property
    def took_a_unit(self) -> bool:
        """Whether a unit was taken for a bare number: what is counted or flush needs none."""
        unit = self.quantity.unit if self.quantity else ""
        return self.unit_assumed and unit not in {"1", "count"} and self.face != "FLUSH"


class Marked(Struct, frozen=True, tag="marked"):
    """Marks accepted on a photo and the coverage they gave; enough to compute it again."""

    key: str
    photo: str
    layer: Layer
    givens: Givens
    seed: int
    trials: int
    version: str
    result: Coverage


class Derived(Struct, frozen=True, tag="derived"):
    """A value computed from readings (a difference, an agreement), citing their entries."""

    key: str
    quantity: Quantity
    from_entries: tuple[str, str]


class Judged(Struct, frozen=True, tag="judged"):
    """The verdict on one entry (a reading, marks or a derived value), citing it."""

    key: str
    subject: str
    verdict: Verdict


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


Evidence = (
    JobStarted
    | PhotoTaken
    | Read
    | Marked
    | Derived
    | Judged
    | Struck
    | Waiver
    | CloseRefused
    | Closed
)
