"""Single readings outside a limit that the number made of them is within."""

from annotate.quantity import Quantity
from store.attempt import Attempt, Stamp
from store.characteristic import Characteristic, Limit, Spot, Take
from store.evidence import Derived, Read
from store.plan import Location
from store.report.values import lead
from store.round import Check
from store.standings.singles import alone_said, outside_alone
from store.verdict import Verdict
from tests.store.report.report_job import mm

LIMIT = Limit("invented", at_least=mm(1.1), at_most=mm(2.6))


def lip(*readings: Quantity, made: Quantity, take: Take = "mean", limit: Limit = LIMIT) -> Check:
    """A grid of three depths, as the round would hold it."""
    asked = Characteristic(
        "lip", "depth", "How deep?", "mm", limit=limit, positions=("12h", "4h", "8h"), take=take
    )
    stamp = Stamp(entry="e", seq=1, at="2026-11-13T09:00:00+01:00", bench="b", by="T. Quayle")
    cells = tuple(
        Attempt(n, stamp, Read("K1.lip", "typed", value, spot=spot, gauge="D-2"), value=value)
        for n, (spot, value) in enumerate(zip(asked.spots, readings, strict=True), start=1)
    )
    whole = Attempt(
        1, stamp, Derived("K1.lip", made, from_entries=("e",)),
        value=made, verdict=Verdict("within", limit, 0.99),
    )  # fmt: skip
    place = Location("K1", "Core plug 1", (asked,))
    return Check("K1.lip", place, asked, "within", attempts=(whole,), readings=cells)


def test_a_reading_outside_beside_a_mean_within_is_named() -> None:
    check = lip(mm(2.75), mm(2.1), mm(2.2), made=mm(2.35))
    assert outside_alone(check) == (Spot("12h"),)
    assert alone_said(check) == "12h itself is outside"
    assert "; 12h itself is outside" in str(lead(check))


def test_a_reading_in_another_unit_is_compared_in_the_limits() -> None:
    # 1 in is 25.4 mm exactly: 0.11 in is 2.794 mm, and 0.04 in 1.016 mm.
    check = lip(Quantity(0.11, "in"), mm(1.7), Quantity(0.04, "in"), made=mm(1.84))
    assert alone_said(check) == "12h and 8h themselves are outside"


def test_nothing_is_said_where_all_are_inside_or_the_number_itself_is_outside() -> None:
    assert outside_alone(lip(mm(2.6), mm(1.1), mm(2.0), made=mm(1.9))) == ()
    assert alone_said(lip(mm(2.9), mm(2.5), mm(2.7), made=mm(2.7))) == ""
    assert "itself" not in str(lead(lip(mm(2.0), mm(2.0), mm(2.0), made=mm(2.0))))


def test_a_range_is_not_compared_with_the_readings_it_is_of() -> None:
    most = Limit("invented", at_most=mm(0.3))
    assert (
        outside_alone(lip(mm(2.0), mm(2.1), mm(2.2), made=mm(0.2), take="range", limit=most)) == ()
    )
