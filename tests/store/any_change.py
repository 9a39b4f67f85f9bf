"""Changes of a plan drawn at random, of which many fit and many do not."""

import hypothesis.strategies as st
import msgspec

from annotate.quantity import Quantity
from store.change import (
    Change,
    CheckAdded,
    DecidingSet,
    GaugeSet,
    HoldAdded,
    KitLineSet,
    LimitSet,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
    NeverFitted,
    PartAdded,
)
from store.characteristic import Limit
from store.plan import HoldPoint, KitLine, Location, Part
from tests.store.bench_job import OWN, computed, length, plan

LOCATIONS = ("J1", "M1", "G3", "G4", "OH1", "N1")
LENGTHS = ("M1.bore", "G3.bore", "G3.plug", "N1.a")
KEYS = (
    *LENGTHS, "J1.size", "J1.round", "M1.gap", "M1.bolts", "G3.nip", "G3.clean", "G3.sealant",
    "OH1.cover", "N1.more", "G3.extra",
)  # fmt: skip


def changes(photos: tuple[str, ...]) -> st.SearchStrategy[Change]:
    """Return changes of the plan, of which many fit and many do not."""
    new = Location("N1", "new", (length("a"), computed("more", "N1.a + G3.bore", limit=most(48))))
    blunt = msgspec.structs.replace(plan().gauge("MIC-2"), permissible_error=Quantity(0.1, "mm"))
    formula = st.sampled_from(
        ("G3.nip * 2", "G3.extra + G3.bore", "G9.x - G3.bore", "out_of_round(J1.size)", "((")
    )
    limits = st.one_of(st.none(), st.sampled_from((0.01, 0.3, 30.0)).map(most))
    return st.one_of(
        st.sampled_from(
            (
                LocationAdded(new, "G3"), LocationRenamed("G3", "rear plug"),
                LocationMoved("OH1", "first"), LocationMoved("N1", "J1"),
                HoldAdded(HoldPoint("pan", "sump", ("lid", "OH1"))), GaugeSet(blunt),
                PartAdded(Part("pan-1", "sump", "OH1")), KitLineSet(KitLine("bolts", "bolts", 9)),
                DecidingSet("J1.size", "wear"), DecidingSet("J1.size", "new"),
            )
        ),
        st.builds(LimitSet, st.sampled_from(KEYS), limits, st.sampled_from(("new", "wear"))),
        st.builds(
            lambda text, limit: CheckAdded("G3", computed("extra", text, limit=limit)),
            formula, limits,
        ),
        st.builds(NeverFitted, st.sampled_from(LOCATIONS), st.sampled_from((*photos, "ab" * 32))),
    )  # fmt: skip


def most(value: float) -> Limit:
    return Limit(OWN, at_most=Quantity(value, "mm"))
