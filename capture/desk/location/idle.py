"""What stands under an empty box: what was kept, what the box waits for, and where to go next."""

from collections.abc import Iterator
from typing import NamedTuple

from capture.desk.location.captions import short_name, spot_words
from capture.desk.location.echo import Echo
from capture.words.owed import next_check, waiting_beside
from store.characteristic import Spot
from store.round import Check, Round


class Waits(NamedTuple):
    """What the hand has said so far, as far as an empty box has to say it.

    ``spot`` is where the next reading goes, None where every spot has one. ``under_way`` is being
    filed, ``kept`` was filed last here, ``passed`` is a pin that waits for the one that stopped.
    ``zero`` asks what the gauge was zeroed to, where nothing can be read before that is said.
    ``sides`` are the words a bare number may be given, empty once one is chosen.
    """

    spot: Spot | None
    under_way: str = ""
    kept: str = ""
    passed: str = ""
    read_at: str = ""
    sides: tuple[str, ...] = ()
    zero: str = ""


def idle_words(check: Check, known: Round, waits: Waits) -> str:
    """Return what is said while nothing is typed, empty where nothing need be."""
    return next(_told(check, known, waits), "")


def _told(check: Check, known: Round, waits: Waits) -> Iterator[str]:
    """Yield what may be said, the most pressing first."""
    if waits.under_way:
        yield f"filing {waits.under_way} \u2026"
    if check.hidden and not waits.read_at:
        behind = _behind(check, known)
        yield f"{behind}: only what was read before can be filed; say when it was (F10)"
    if waits.zero and waits.spot is not None:
        yield f"{waits.kept} {waits.zero}.".strip()
    if waits.passed:
        yield "Now the smallest that stopped; Esc drops the one that passed."
    if waits.kept:
        yield f"{waits.kept} {next_words(check, known)}".strip()
    if waits.spot is None:
        yield all_there(check)
    if check.current is not None and not check.characteristic.is_grid:
        yield f"A reading is there; another replaces it. {next_words(check, known)}"
    if waits.sides:
        yield f"Say {waits.sides[0]} or {waits.sides[1]} behind the number, or turn it with F7."


def kept_words(check: Check, text: str, spot: Spot, hints: tuple[str, ...]) -> str:
    """Return that a reading was kept, and what looks wrong about the fit it is part of."""
    at = f" at {spot_words(check.characteristic, spot)}" if spot != Spot() else ""
    said = text
    if check.characteristic.kind == "yes-no" and check.answer is not None:
        said = "yes" if check.answer else "no"
    return " ".join((f"{said}{at}: kept.", *hints))


def files_as(check: Check, spot: Spot, echo: Echo) -> str:
    """Return where Return files what is typed."""
    if echo.held:
        return "then the one that stopped"
    if check.characteristic.is_grid:
        again = "again " if spot in check.cells else ""
        return f"files {again}at {spot_words(check.characteristic, spot)}"
    return "files again" if check.current is not None else "files"


def all_there(check: Check) -> str:
    """Return that a grid is full, and how one of its readings is read again."""
    many = len(check.characteristic.spots)
    return (
        f"All {many} readings are there: choose the one to read again, by a press on its cell or "
        "Ctrl and an arrow."
    )


def next_words(check: Check, known: Round) -> str:
    """Return which key goes on, and to what: another check here, or the next location.

    Empty while the check itself still waits for a reading.
    """
    if check.missing or check.current is None:
        return ""
    place = known.place(check.location.id)
    if (beside := waiting_beside(place, check.key, 1)) is not None:
        return f"PgDn: on to {short_name(beside)}."
    before = waiting_beside(place, check.key, -1)
    open_here = f"Still open here: {short_name(before)} (PgUp). " if before else ""
    ids = [each.location.id for each in known.places]
    at = ids.index(check.location.id) + 1
    if at < len(ids):
        return f"{open_here}PgDn: on to {known.places[at].location.name}."
    first = None if before else next_check(known, check.key, past=True)
    on = f"F4: on to {first.location.name}, still open." if first else ""
    return (open_here or on).strip()


def _behind(check: Check, known: Round) -> str:
    holds = [known.hold(each) for each in check.hold_points]
    names = [hold.hold_point.name for hold in holds if hold.closed is not None]
    return f"Behind \u201c{names[0]}\u201d, which is closed" if names else "Closed up"
