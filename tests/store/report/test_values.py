"""A range of depths is how far they are apart, not a depth; the single readings stay depths."""

from annotate.quantity import Quantity
from store.attempt import Attempt, Stamp
from store.characteristic import Characteristic
from store.evidence import Derived, Read
from store.plan import Location
from store.report.values import displayed
from store.round import Check

STAMP = Stamp("0" * 64, 3, "2026-03-02T09:00:00+01:00", "bench", "R. Ansell")


def check(take: str) -> Check:
    asked = Characteristic("lip", "depth", "How deep?", "mm", positions=("12h", "4h"), take=take)  # type: ignore[arg-type] # one of the words
    return Check("K1.lip", Location("K1", "Core plug"), asked, "no limit")


def test_how_far_depths_are_apart_is_no_depth() -> None:
    made = Derived("K1.lip", Quantity(0.04, "mm", 0.01), ("1" * 64,))
    assert displayed(check("range"), Attempt(1, STAMP, made, value=made.quantity))[1].depth is False
    assert displayed(check("mean"), Attempt(1, STAMP, made, value=made.quantity))[1].depth is True


def test_one_reading_of_them_is_a_depth() -> None:
    read = Read("K1.lip", "0.04 mm BELOW", Quantity(0.04, "mm", 0.01))
    assert displayed(check("range"), Attempt(1, STAMP, read, value=read.quantity))[1].depth is True
