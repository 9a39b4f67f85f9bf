"""The words around the question: which location, how it went so far, where the limit is from."""

from datetime import datetime

from capture.desk.limit.clauses import capital
from capture.words.checks import value_text
from capture.words.quantities import limit_text
from store.attempt import Stamp
from store.characteristic import ANSWERED_IN_WORDS, Characteristic, Spot
from store.judge import limit_for
from store.plan import Gauge
from store.report.figures import unit_word
from store.round import Check, Place, Round
from store.stock import GaugeState

_DOT = "  \u00b7  "
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def caption_of(known: Round, place: Place, check: Check | None) -> str:
    """Return "12 of 44, Cam bearing 1, attempt 2, as found: outside, 58.3 %", with dots."""
    number = [each.location.id for each in known.places].index(place.location.id) + 1
    parts = [f"{number} of {len(known.places)}", f"{place.location.id} {place.location.name}"]
    if check is not None:
        parts.append(check.name)
        if (found := _as_found(check)) and check.name != "as found":
            parts.append(found)
        if check.excused:
            parts.append(check.excused)
    return _DOT.join(parts)


def _as_found(check: Check) -> str:
    """Return how it was before any work, empty where nobody looked."""
    found = [a for a in check.attempts if a.name == "as found" and a.struck is None]
    if not found:
        return ""
    return f"as found: {found[-1].state}, {value_text(check, found[-1])}"


def source_of(check: Check | None) -> str:
    """Return where the limit that decides comes from, or that there is none."""
    if check is None or check.characteristic.kind in ANSWERED_IN_WORDS:
        return ""
    limit = limit_for(check.characteristic)
    if limit is None:
        asks = check.characteristic.asks
        return f"limit still to be looked up: {asks}" if asks else "no limit asked"
    kind = "wear limit" if check.characteristic.judged_by == "wear" else "limit"
    return f"{kind}: {limit.source}"


def lacks_limit(check: Check) -> bool:
    """Return whether a check is judged by a figure that nobody has given."""
    in_words = check.characteristic.kind in {*ANSWERED_IN_WORDS, "agreement"}
    return not in_words and limit_for(check.characteristic) is None


def limit_words(check: Check) -> str:
    """Return the limit in words, empty where there is none."""
    asked = check.characteristic
    return limit_text(limit_for(asked), depth=asked.kind == "depth", kind=asked.kind)


def box_label(check: Check, spot: Spot, *, passed: str = "", difference: str = "") -> str:
    """Return what the box asks for now, the spot first: "9 o'clock: depth from the face"."""
    asked = check.characteristic
    if asked.kind == "pin":
        return (
            f"{passed} passed. Smallest pin that stopped" if passed else "Largest pin that passed"
        )
    named = {"yes-no": "yes or no", "note": "in words", "depth": "depth", "count": "how many"}
    what = named.get(asked.kind, asked.kind)
    if difference:
        dial = f"{difference} dial, bigger or smaller"  # an id is written as it is
        return capital(f"{spot_words(asked, spot)}: {dial}") if asked.is_grid else dial
    if asked.kind == "depth" and asked.datum:
        what += f" from the {asked.datum}"
    return capital(f"{spot_words(asked, spot)}: {what}" if asked.is_grid else what)


def spot_words(check: Characteristic, spot: Spot) -> str:
    """Return where in its grid a reading belongs: "top, across", "no. 2"."""
    if not check.positions and not check.axes:
        return f"no. {spot.repeat} of {check.repeats}"
    return spot.words


def short_name(check: Check) -> str:
    """Return a check's name for a chip: its id in words."""
    return check.characteristic.id.replace("-", " ").replace("_", " ").capitalize()


def name_of(check: Check, here: str = "") -> str:
    """Return a check's short name, with its location's unless that is ``here``."""
    name = short_name(check)
    return name if check.location.id == here else f"{name} of {check.location.name}"


def when(at: str) -> str:
    """Return a moment for the eye: "2 Mar 09:14"; what is no time is returned as it is."""
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return at
    return f"{moment.day} {_MONTHS[moment.month - 1]} {moment:%H:%M}"


def day(at: str) -> str:
    """Return a day for the eye: "3 Oct 2026"; what is no day is returned as it is."""
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return at
    return f"{moment.day} {_MONTHS[moment.month - 1]} {moment.year}"


def who_when(stamp: Stamp) -> str:
    """Return "2 Mar 09:14, R. Ansell"."""
    return f"{when(stamp.at)}, {stamp.by}"


def gauge_words(state: GaugeState | None) -> tuple[str, str, str]:
    """Return (name, last check, warning) of the gauge in use; the warning is often empty."""
    if state is None:
        return "No gauge named", "its error is not counted", ""
    gauge = state.gauge
    checked = f"checked {day(gauge.last_check)}" if gauge.last_check else "last check not known"
    warning = ""
    if state.suspect:
        warning = f"SUSPECT since {day(state.since)}: {state.suspect}"
    elif state.overdue:
        warning = f"OVERDUE: due {day(gauge.due)}"
    return gauge.id, checked, warning


def gauge_kind(gauge: Gauge) -> str:
    """Return what a gauge is, and how finely it reads."""
    step = f"{gauge.resolution.value:.6f}".rstrip("0").rstrip(".")
    return f"{gauge.kind}, reads to {step} {unit_word(gauge.resolution.unit)}"
