"""What is known of things rather than checks: plugs, parts, kit, gauges, papers, the owner."""

from typing import Literal

from msgspec import Struct

from store.attempt import Stamp, Strike
from store.evidence import (
    DebrisLogged,
    Fitted,
    KitCounted,
    MapPlaced,
    OwnerSaid,
    PaperKept,
    PlanChanged,
    SlipAsked,
    TakenOut,
)
from store.plan import Gauge, KitLine, Location, Part


class Told(Struct, frozen=True):
    """One thing that was said, and whether it was struck since."""

    stamp: Stamp
    record: (
        TakenOut | Fitted | DebrisLogged | OwnerSaid | PaperKept | PlanChanged | SlipAsked
        | KitCounted | MapPlaced
    )  # fmt: skip
    struck: Strike | None = None


class PlugPlace(Struct, frozen=True):
    """One line of the plug map: where a plug belongs, and whether it came out and is in again.

    ``out`` and ``fitted`` are the last that stand; ``never`` says that this block never had it.
    ``alike`` are the other plug locations of its group: the ones it is easily mixed up with.
    """

    location: Location
    out: Told | None = None
    fitted: Told | None = None
    never: Stamp | None = None
    alike: tuple[str, ...] = ()

    @property
    def state(self) -> Literal["never fitted", "in", "out", "not counted"]:
        """Where its plug is."""
        if self.never:
            return "never fitted"
        if self.fitted:
            return "in"
        return "out" if self.out else "not counted"


class PartState(Struct, frozen=True):
    """A part of the plan: the piece that is fitted now (None: not yet), and those before it."""

    part: Part
    fitted: Told | None = None
    earlier: tuple[Told, ...] = ()


class KitState(Struct, frozen=True):
    """A line of the kit: what the packing says, what was counted, how many went on."""

    line: KitLine
    counted: Told | None = None
    fitted: int = 0
    wanted: int = 0


class GaugeState(Struct, frozen=True):
    """A gauge of the register: overdue or not, suspect or not, and the entries it touched.

    ``touched`` are readings taken with it, with a gauge set on it, or against a size it gave,
    and the values worked out from those. ``suspect`` is the reason, empty if none stands.
    """

    gauge: Gauge
    overdue: bool = False
    suspect: str = ""
    since: str = ""
    suspected: Stamp | None = None
    touched: tuple[str, ...] = ()
