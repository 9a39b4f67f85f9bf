"""What comes next in the round, in the words below it. No Qt in here."""

from typing import NamedTuple

from capture.desk.where import Where
from store.round import Round

_MOST_NAMED = 6


class Next(NamedTuple):
    """Words, more of them in bold, the key that goes there, and the hold point that is meant."""

    words: str
    bold: str
    key: str = ""
    hold: str = ""


def next_of(known: Round, where: Where, following: str) -> Next:
    """Return what the line below the round says.

    ``following`` is the location that waits for the hand next, "" if none does.
    """
    numbers = {place.location.id: n for n, place in enumerate(known.places, 1)}
    hold = next((h for h in known.holds if h.hold_point.id == where.key), None)
    if where.room == "hold" and hold is not None and not hold.closed:
        keys = dict.fromkeys(key.partition(".")[0] for key, _ in hold.unproven)
        wanted = [str(numbers[key]) for key in keys if key in numbers]
        if wanted:
            rest = f" + {len(wanted) - _MOST_NAMED}" if len(wanted) > _MOST_NAMED else ""
            said = f"{', '.join(wanted[:_MOST_NAMED])}{rest}"
            return Next(f"{hold.hold_point.name}: needs", said)
    if following:
        name = next(p.location.name for p in known.places if p.location.id == following)
        return Next("Next open:", f"{numbers[following]}, {name}", "F4")
    waiting = next((h for h in known.holds if h.closed is None), None)
    if waiting is not None:
        return Next(
            "Nothing to measure. Next:", waiting.hold_point.name, hold=waiting.hold_point.id
        )
    return Next("Nothing is open", "")
