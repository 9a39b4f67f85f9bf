"""Checks made by hand, as a round would hold them: for what is drawn of them."""

from typing import Any

from annotate.quantity import Quantity
from store.attempt import Attempt, Stamp, Standing
from store.characteristic import Characteristic, Limit
from store.evidence import Read
from store.judge import judge, limit_for, other_limit
from store.plan import Location
from store.round import Check

STAMP = Stamp("e" * 64, 1, "2026-03-02T09:00:00+01:00", "bench", "R. Ansell")
LOCATION = Location("C1", "Cam bearing 1")
_OF_CHECK = {"suspect", "waivers", "missing", "why", "excused", "hidden", "readings"}


def limit(
    low: float | None = None, high: float | None = None, unit: str = "mm", **more: Any
) -> Limit:
    """Return a limit with one side or two."""
    sides = [None if each is None else Quantity(each, unit) for each in (low, high)]
    return Limit("builder's own", *sides, **more)


def check(
    kind: str = "length", value: Quantity | None = None, unit: str = "mm", **more: Any
) -> Check:
    """Return a check whose one attempt was judged as the house judges."""
    about = {name: more.pop(name) for name in tuple(more) if name in _OF_CHECK}
    characteristic = Characteristic("x", kind, "How is it?", unit, **more)
    attempts: tuple[Attempt, ...] = ()
    if value is not None:
        deciding, other = limit_for(characteristic), other_limit(characteristic)
        attempts = (
            Attempt(
                1, STAMP, Read("C1.x", str(value.value), value, gauge="mic-1"), "attempt 1", value,
                verdict=judge(value, deciding) if deciding else None,
                other=judge(value, other) if other else None,
            ),
        )  # fmt: skip
    state: Standing = attempts[0].state if attempts else "not measured"
    return Check("C1.x", LOCATION, characteristic, state, attempts=attempts, **about)


def covered(share: float, u: float, at_most: float = 40.0) -> Check:
    """Return a coverage judged by an "at most" in per cent."""
    return check("coverage", Quantity(share, "1", u), "%", limit=limit(None, at_most, "%"))


def wide(text: str, size: str, bold: bool) -> float:
    """Return about as many pixels as a text takes in the window's type."""
    return len(text) * {"caption": 7.6, "body": 9.8, "head": 16.0}[size] * (1.08 if bold else 1.0)
