"""How a location lies, seen from the round: its sign, its word, its figure. No Qt in here."""

from typing import NamedTuple

from annotate.result import Known
from capture.words.checks import grid_count, value_text
from capture.words.quantities import is_told_as_depth, quantity_text
from store.attempt import Attempt, Standing
from store.evidence import Marked, Read
from store.round import Check, Place

WORST_FIRST: tuple[Standing, ...] = (
    "outside", "too close to call", "not measured", "within", "no limit",
)  # fmt: skip
_BARE_UNITS = ("1", "count")


class Lying(NamedTuple):
    """What a row says of a location.

    ``state`` is the worst of its checks and picks the sign. ``word`` is that state for a reader.
    ``values`` are wordings of what was found, the longest first: the first that fits is shown.
    ``struck`` is a figure that was struck and that nothing took the place of; ``waived`` says that
    somebody decided in writing to go on with what is unproven; ``suspect`` that a gauge may have
    been wrong. ``open`` says that it still waits for something, ``fitted`` is False for what this
    block never had.
    """

    state: Standing
    word: str
    values: tuple[str, ...] = ()
    struck: str = ""
    waived: bool = False
    suspect: bool = False
    open: bool = False
    fitted: bool = True


COVERED = Lying("not measured", "rims being placed", ("number covered",), open=True)


def lying_of(place: Place, lacks: tuple[str, ...] = ()) -> Lying:
    """Return how a location lies; ``lacks`` says what a hold point still wants of it as a whole."""
    if place.never is not None:
        return Lying("no limit", "never fitted", fitted=False)
    asked = [check for check in place.checks if not check.excused]
    state = worst_of(asked) if asked else ("not measured" if lacks else "no limit")
    unproven = [check for check in asked if not check.proven]
    left = [check for check in unproven if check.waiver is None]
    return Lying(
        state=state,
        word=word_of(state, asked),
        values=_values(asked, lacks),
        struck=_struck(asked),
        waived=bool(unproven) and not left,
        suspect=any(check.suspect for check in asked),
        open=bool(left or lacks),
    )


def worst_of(checks: list[Check]) -> Standing:
    """Return the state that a location with these checks stands at: its worst one.

    What is only recorded is no worse than what is within; what still lacks its limit is.
    """
    there = {check.state for check in checks}
    if any(check.state == "no limit" and not check.proven for check in checks):
        there.discard("within")
    return next(state for state in WORST_FIRST if state in there)


def word_of(state: Standing, checks: list[Check]) -> str:
    """Return the word beside a sign; what is only recorded says so."""
    if state != "no limit":
        return state
    if not checks:
        return "nothing to measure"
    return "no limit yet" if any(not check.proven for check in checks) else "recorded"


def figures_of(check: Check) -> tuple[str, ...]:
    """Return wordings of what a check was found to be, the longest first; empty if it has none."""
    attempt = check.current
    if attempt is None:
        if check.readings and check.missing:
            return (grid_count(check),)
        return ()
    if isinstance(attempt.record, Marked):
        return _coverage(attempt, attempt.record)
    if attempt.answer is not None:
        return ("answered yes" if attempt.answer else "answered no",)
    if attempt.words:
        return (attempt.words,)
    return (_plain(check, attempt),)


def _plain(check: Check, attempt: Attempt) -> str:
    record = attempt.record
    if isinstance(record, Read) and record.zero is None:
        # As it was typed: that is what the eye compares with the gauge.
        typed = " ".join(record.text.split())
        return _with_unit(typed, check.characteristic.unit) if record.took_a_unit else typed
    depth = is_told_as_depth(check.characteristic)
    if attempt.value is None:
        return attempt.why_no_value or "no value"
    if check.characteristic.kind == "agreement" or attempt.value.unit in _BARE_UNITS:
        return value_text(check, attempt)
    return quantity_text(attempt.value, depth=depth)


def _with_unit(typed: str, unit: str) -> str:
    """Return a reading that was typed without a unit with it: a depth's side stands behind."""
    size, _, side = typed.rpartition(" ")
    if not side.isalpha():
        return f"{typed} {unit}"
    return f"{size} {unit} {side}" if size else typed


def _coverage(attempt: Attempt, marked: Marked) -> tuple[str, ...]:
    told = {
        word: f"{quantity_text(result.quantity)} {word}"
        for word, result in (("open", marked.result.open), ("covered", marked.result.covered))
        if isinstance(result, Known)
    }
    if not told:
        return (attempt.why_no_value or "no value",)
    return (", ".join(told.values()), next(iter(told.values())))


def _values(asked: list[Check], lacks: tuple[str, ...]) -> tuple[str, ...]:
    if len(asked) == 1 and (asked[0].current or asked[0].readings):
        found = figures_of(asked[0])
    elif len(asked) > 1:
        proven = sum(check.proven for check in asked)
        of = f"{proven} of {len(asked)}"
        found = (f"{of} checks proven", f"{of} proven")
    else:
        found = ()
    settled = all(check.proven or check.waiver for check in asked)
    if lacks and settled:
        # The checks are done, so what is left is what the hand needs to know.
        return (", ".join(lacks), lacks[0])
    return found


def _struck(asked: list[Check]) -> str:
    if len(asked) != 1 or asked[0].current or not asked[0].attempts:
        return ""
    last = asked[0].attempts[-1]
    if last.struck is None:
        return ""
    if isinstance(last.record, Marked):
        return _coverage(last, last.record)[-1]
    return _plain(asked[0], last) if last.value is not None else last.words
