"""Work every value in a book out again from what it cites, and compare.

This is what finds a mark, a number or a verdict that was altered with the whole chain written
anew after it: the chain is whole then, but the number does not follow from the marks.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from math import isclose
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import msgspec

from annotate.errors import AnnotateError, CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.quantity import Quantity
from annotate.result import Coverage
from store.agree import agreement
from store.chains import where
from store.codec import Entry
from store.derive import difference
from store.errors import CannotDerive
from store.evidence import Derived, Judged, Marked, Read
from store.finding import Finding, Found, Severity
from store.judge import judge, limit_for, not_measured
from store.plan import Characteristic, Plan
from store.refinding import found_marks
from store.telling import value_of

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Attempted = Read | Marked | Derived
Wrong = list[tuple[Severity, str, str]]  # severity, code, detail

# Another processor's rounding moves a Monte Carlo result by about 1e-9, and the kept quantiles have
# six figures, so by one in the last of them; nothing that matters is this small.
_RELATIVE, _ABSOLUTE = 2e-5, 1e-7


class Measure(Protocol):
    """As annotate.coverage.measure."""

    def __call__(self, layer: Layer, givens: Givens, *, seed: int, trials: int) -> Coverage:
        """Return the coverage that marks show; raises CannotMeasure."""


@dataclass(frozen=True)
class Tools:
    """What the values are worked out with; pictures and typed text belong to another room.

    ``decode`` turns a photo's file into the upright picture, None if it can't be shown;
    ``moved`` names the found marks of a layer that are not where the picture shows them;
    ``reparse`` says what a reading's text is worth, None if it is refused now. ``version`` is
    this program's: a number made by another one may differ without having been altered.
    """

    measure: Measure
    moved: "Callable[[npt.NDArray[np.uint8], Layer], list[str]]"
    decode: "Callable[[Path], npt.NDArray[np.uint8] | None] | None" = None
    reparse: Callable[[Plan, Read], Quantity | None] | None = None
    version: str = ""


@dataclass
class Recomputing:
    """Every value in the order of arrival. ``not_refound`` counts marks left unchecked."""

    plan: Plan
    made_by: str
    tools: Tools
    photo_path: Callable[[str], Path | None]
    entries: dict[str, Entry] = field(default_factory=dict)
    not_refound: int = 0

    def check(self, place: int, entry: Entry) -> Found:
        """Find what does not follow in one entry; the earlier ones must have been checked."""
        characteristic = self._characteristic(entry)
        match entry.evidence:
            case Read() as read if characteristic:
                found = self._reading(read)
            case Marked() as marked if characteristic:
                found = [*self._marks(marked), *self._moved(marked)]
            case Derived() as derived if characteristic:
                found = self._derived(derived, characteristic)
            case Judged() as judged if characteristic:
                found = self._verdict(judged, characteristic)
            case _:
                found = []
        for severity, code, detail in found:
            yield place, Finding(severity, code, where(entry), detail)
        self.entries[entry.hash] = entry

    def _characteristic(self, entry: Entry) -> Characteristic | None:
        key = getattr(entry.evidence, "key", "")
        return {k: c for k, _, c in self.plan.walk()}.get(key)

    def _severity(self, made_by: str) -> Severity:
        return "differs" if self.tools.version and made_by != self.tools.version else "altered"

    def _reading(self, read: Read) -> Wrong:
        if read.quantity is None:
            return []
        said = read.quantity
        if read.exact and not _is_worth(read.exact, said.value):
            detail = f"the value {said.value} is not the exact one, {read.exact}"
            return [("altered", "reading-differs", detail)]
        return self._text(read, said) if self.tools.reparse else []

    def _text(self, read: Read, said: Quantity) -> Wrong:
        again = self.tools.reparse(self.plan, read) if self.tools.reparse else None
        if again is None:
            return [(self._severity(self.made_by), "reading-differs", "the text is refused now")]
        if again.unit != said.unit or not same(again.value, said.value):
            detail = f"{read.text!r} is {again.value} {again.unit}, not {said.value} {said.unit}"
            return [("altered", "reading-differs", detail)]
        if not same(again, said):
            detail = f"{read.text!r} is uncertain by {again.u}, not by {said.u} {said.unit}"
            return [(self._severity(self.made_by), "reading-differs", detail)]
        return []

    def _marks(self, marked: Marked) -> Wrong:
        severity = self._severity(marked.version)
        try:
            again = self.tools.measure(
                marked.layer, marked.givens, seed=marked.seed, trials=marked.trials
            )
        except CannotMeasure as error:
            return [(severity, "coverage-differs", f"the marks give no number now: {error}")]
        if same(again, marked.result):
            return []
        other = f" (made by version {marked.version})" if severity == "differs" else ""
        return [(severity, "coverage-differs", f"its marks give another number{other}")]

    def _moved(self, marked: Marked) -> Wrong:
        path = self.photo_path(marked.photo)
        if not found_marks(marked.layer) or path is None:
            return []
        picture = self.tools.decode(path) if self.tools.decode else None
        if picture is None:
            self.not_refound += 1
            return []
        moved = self.tools.moved(picture, marked.layer)
        if not moved:
            return []
        detail = f"not where the photo shows it: {', '.join(moved)}"
        return [(self._severity(marked.version), "marks-moved", detail)]

    def _derived(self, derived: Derived, characteristic: Characteristic) -> Wrong:
        cited = [self.entries.get(each) for each in derived.from_entries]
        values = [self._value(entry)[0] for entry in cited if entry]
        keys = tuple(getattr(entry.evidence, "key", "") for entry in cited if entry)
        if keys != characteristic.of or values[0] is None or values[1] is None:
            return [("altered", "derived-differs", "it is not derived from what the plan says")]
        compute = difference if characteristic.kind == "difference" else agreement
        try:
            again = compute(values[0], values[1])
        except (CannotDerive, AnnotateError) as error:
            return [("altered", "derived-differs", f"what it cites gives no value: {error}")]
        if same(again, derived.quantity):
            return []
        detail = f"what it cites gives {again.value} {again.unit}, not {derived.quantity.value}"
        return [(self._severity(self.made_by), "derived-differs", detail)]

    def _verdict(self, judged: Judged, characteristic: Characteristic) -> Wrong:
        limit, subject = limit_for(characteristic), self.entries.get(judged.subject)
        if subject is None or getattr(subject.evidence, "key", "") != judged.key:
            return [("altered", "verdict-differs", "it judges nothing that came before it")]
        if limit is None or not same(limit, judged.verdict.limit):
            return [("altered", "limit-differs", "it was judged by another limit than the plan's")]
        value, why = self._value(subject)
        again = judge(value, limit) if value is not None else not_measured(limit, why)
        if same(again, judged.verdict):
            return []
        detail = "the value it cites gives other odds or bounds"
        if again.state != judged.verdict.state:
            detail = f"the value it cites is {again.state}, not {judged.verdict.state}"
        return [(self._severity(self.made_by), "verdict-differs", detail)]

    def _value(self, entry: Entry) -> tuple[Quantity | None, str]:
        characteristic = self._characteristic(entry)
        if characteristic is None or not isinstance(entry.evidence, Attempted):
            return None, "it cites an entry without a value"
        return value_of(entry.evidence, characteristic)


def _is_worth(exact: str, value: float) -> bool:
    try:
        return same(float(Fraction(exact)), value)
    except (ValueError, ZeroDivisionError, OverflowError):
        return False


def same(one: object, other: object) -> bool:
    """Return whether two records say the same, numbers up to the arithmetic of the machine."""
    return _same(msgspec.to_builtins(one), msgspec.to_builtins(other))


def _same(one: Any, other: Any) -> bool:  # noqa: ANN401 - plain JSON values of any form
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[k], other[k]) for k in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, float) or isinstance(other, float):
        numbers = isinstance(one, float | int) and isinstance(other, float | int)
        return numbers and isclose(one, other, rel_tol=_RELATIVE, abs_tol=_ABSOLUTE)
    return bool(one == other)
