"""A suspected slip as a picture: the earlier readings, the one just typed, and the gap."""

from typing import NamedTuple

from annotate.quantity import Quantity
from store.characteristic import Spot
from store.judge import limit_for
from store.round import Check

_MARGIN = 0.12  # of the line's length, left free at both ends


class SlipScale(NamedTuple):
    """Positions from 0 to 1 along a line: of what was there, and of what was typed."""

    there: tuple[float, ...]
    typed: float
    there_words: str

    @property
    def gap(self) -> tuple[float, float]:
        """Where the dimension of the gap starts and ends: at the nearest earlier one."""
        near = min(self.there, key=lambda each: abs(each - self.typed))
        return near, self.typed


def scale_of(check: Check, spot: Spot, typed: Quantity | None) -> SlipScale | None:
    """Return the picture of a suspected slip, None where there is nothing to set it against."""
    if typed is None:
        return None
    there, words = _there(check, spot, typed.unit)
    if not there:
        return None
    low, high = min(*there, typed.value), max(*there, typed.value)
    long = (high - low) or 1.0
    place = [_MARGIN + (1 - 2 * _MARGIN) * (each - low) / long for each in (*there, typed.value)]
    return SlipScale(tuple(place[:-1]), place[-1], words)


def _there(check: Check, spot: Spot, unit: str) -> tuple[list[float], str]:
    if check.characteristic.is_grid:
        others = [a.value for s, a in check.cells.items() if s != spot and a.value is not None]
        if others:
            return [other.to(unit).value for other in others], "the other readings here"
    elif check.value is not None:
        return [check.value.to(unit).value], "what was read before"
    limit = limit_for(check.characteristic)
    ends = [end for end in (limit.at_least, limit.at_most) if end is not None] if limit else []
    return [end.to(unit).value for end in ends], "the limit"
