"""Work every value in a book out again from what it cites, and compare.

This is what finds a mark, a number or a verdict that was altered with the whole chain written
anew after it: the chain is whole then, but the number does not follow from the marks.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import isclose
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import msgspec

from annotate.beside import Beside
from annotate.errors import AnnotateError, CannotMeasure
from annotate.givens import Givens
from annotate.marks import Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from annotate.result import Coverage, Known
from store.branches.chains import where
from store.characteristic import Characteristic, Limit
from store.codec import Entry
from store.errors import BadPlan, CannotDerive
from store.evidence import Derived, Judged, Marked, Read
from store.finding import Finding, Found, Severity
from store.judge import judge, limit_for, not_measured, other_limit, subject_of
from store.plan import Plan
from store.proving.refinding import found_marks
from store.told.repeats import beside_of, repeats_for
from store.told.telling import Telling
from store.told.values import value_of
from store.told.working import Working
from store.verdict import Verdict

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Attempted = Read | Marked | Derived
Wrong = list[tuple[Severity, str, str]]  # severity, code, detail

# Another processor's rounding moves a Monte Carlo result by about 1e-9, and the kept quantiles have
# six figures, so by one in the last of them; nothing that matters is this small.
_RELATIVE, _ABSOLUTE = 2e-5, 1e-7


class Measure(Protocol):
    """As annotate.routes.accepted.measure."""

    def __call__(
        self,
        layer: Layer,
        givens: Givens,
        *,
        seed: int,
        trials: int,
        lens: LensProfile | None = None,
        beside: Beside | None = None,
    ) -> Coverage:
        """Return the coverage that marks show; raises CannotMeasure."""


@dataclass(frozen=True)
class Tools:
    """What the values are worked out with; pictures and typed text belong to another room.

    ``decode`` turns a photo's file into the upright picture, None if it can't be shown;
    ``moved`` names the found marks of a layer that are not where the picture shows them;
    ``size`` gives the (width, height) in pixels of that picture, None likewise;
    ``reparse`` reads a reading's text again, None if it is refused now. ``version`` is this
    program's: a number made by another one may differ without having been altered.
    """

    measure: Measure
    moved: "Callable[[npt.NDArray[np.uint8], Layer], list[str]]"
    decode: "Callable[[Path], npt.NDArray[np.uint8] | None] | None" = None
    reparse: Callable[[Plan, Read], Read | None] | None = None
    version: str = ""
    size: Callable[[Path], tuple[int, int] | None] | None = None


@dataclass
class Recomputing:
    """Every value in the order of arrival. ``not_refound`` counts marks left unchecked."""

    made_by: str
    tools: Tools
    photo_path: Callable[[str], Path | None]
    told: Telling = field(default_factory=Telling)
    not_refound: int = 0

    def __post_init__(self) -> None:
        self._working = Working(self.told)
        self._due: tuple[str, ...] = ()
        self._told_missing: set[tuple[str, tuple[str, ...]]] = set()

    def check(self, place: int, entry: Entry) -> Found:
        """Find what does not follow in one entry; the earlier ones must have been checked."""
        characteristic = self._characteristic(entry)
        match entry.evidence:
            case Read() as read if characteristic:
                found = self._reading(read)
            case Marked() as marked if characteristic:
                found = [*self._marks(marked), *self._repeats(marked), *self._moved(marked)]
            case Derived() as derived if characteristic:
                found = self._derived(derived, characteristic)
            case Judged() as judged if characteristic:
                found = self._verdict(judged, characteristic)
            case _:
                found = []
        if not isinstance(entry.evidence, Derived | Judged):
            yield from self._missing(place, self._due)  # an act ends with what follows from it
            self._due = self._follows(entry)
        for severity, code, detail in found:
            yield place, Finding(severity, code, where(entry), detail)
        self.told.add(entry)

    def pass_over(self, entry: Entry) -> None:
        """Take in an entry that is judged by another bench's order."""
        self._due = ()
        self.told.add(entry)

    def missing(self, place: int) -> Found:
        """Find what could be worked out from what counts in the end, and is not there."""
        if self.told.now:
            yield from self._missing(place, self.told.wiring_at(self.told.now).inputs)

    def _follows(self, entry: Entry) -> tuple[str, ...]:
        """Return the checks that a new value may give a value to."""
        if not isinstance(entry.evidence, Read | Marked) or not self.told.now:
            return ()
        wiring, key = self.told.wiring_at(self.told.now), entry.evidence.key
        return tuple(k for k in (key, *wiring.followers(key)) if k in wiring.inputs)

    def _missing(self, place: int, keys: Iterable[str]) -> Found:
        told = self.told
        for key in keys:
            check, cites = told.check_at(key, told.now), told.inputs(key, told.now)
            if check is None or cites is None or told.counting(key, told.now):
                continue
            if (key, cites) in self._told_missing:
                continue
            self._told_missing.add((key, cites))
            try:
                worth = self._working.worth_of(key, check, cites, told.now)
            except (CannotDerive, BadPlan, AnnotateError, ArithmeticError):
                continue
            value = worth.quantity
            detail = f"it comes to {value.value} {value.unit}, and no entry says so"
            yield place, Finding("altered", "derived-missing", key, detail)

    def _characteristic(self, entry: Entry) -> Characteristic | None:
        key = getattr(entry.evidence, "key", "")
        return self.told.check_at(key, self.told.now) if self.told.now and key else None

    def _severity(self, made_by: str) -> Severity:
        return "differs" if self.tools.version and made_by != self.tools.version else "altered"

    def _reading(self, read: Read) -> Wrong:
        said = read.quantity
        if said is None:
            return self._text(read) if self.tools.reparse else []
        try:
            again = self._working.reading(read, self.told.now).quantity()
        except (CannotDerive, BadPlan, AnnotateError, ArithmeticError) as error:
            return [("altered", "reading-differs", f"it gives no value: {error}")]
        if again.unit != said.unit or not same(again.value, said.value):
            detail = (
                f"the value {said.value} {said.unit} is not that of the exact one, {read.exact}"
            )
            return [("altered", "reading-differs", detail)]
        if not same(again, said):
            detail = f"it is uncertain by {again.u}, not by {said.u} {said.unit}"
            return [(self._severity(self.made_by), "reading-differs", detail)]
        return self._text(read) if self.tools.reparse else []

    def _text(self, read: Read) -> Wrong:
        again = self.tools.reparse(self.told.plan, read) if self.tools.reparse else None
        if again is None:
            return [(self._severity(self.made_by), "reading-differs", "the text is refused now")]
        wrong = [
            name
            for name in ("exact", "answer", "unit_assumed", "face", "direction", "half_step",
                         "plus_minus")
            if not same(getattr(again, name), getattr(read, name))
        ]  # fmt: skip
        units = [q.quantity.unit if q.quantity else "" for q in (again, read)]
        if wrong or units[0] != units[1]:
            now = f"{again.exact} {units[0]}".strip() or f"{again.answer}"
            kept = f"{read.exact} {units[1]}".strip() or f"{read.answer}"
            detail = f"{read.text!r} is {now} ({', '.join(wrong) or 'unit'}), not {kept}"
            return [("altered", "reading-differs", detail)]
        return []

    def _marks(self, marked: Marked) -> Wrong:
        severity = self._severity(marked.version)
        beside = beside_of(self.told, marked.together, marked.repeats)
        if beside is None:
            detail = "marks that it was measured together with are not there"
            return [("altered", "together-differs", detail)]
        try:
            again = self.tools.measure(
                marked.layer,
                marked.givens,
                seed=marked.seed,
                trials=marked.trials,
                lens=marked.lens,
                beside=beside,
            )
        except CannotMeasure as error:
            return [(severity, "coverage-differs", f"the marks give no number now: {error}")]
        if same(again, marked.result):
            return []
        other = f" (made by version {marked.version})" if severity == "differs" else ""
        return [(severity, "coverage-differs", f"its marks give another number{other}")]

    def _repeats(self, marked: Marked) -> Wrong:
        """Find a spread of marking that is not what the marks until then had shown."""
        repeats, entries = repeats_for(self.told, marked.layer, self.told.now)
        if entries == marked.repeats_from and same(repeats, marked.repeats):
            return []
        detail = "the book's repeated marks show another spread of marking"
        # A program that knew of no repeats gave none.
        severity = self._severity(marked.version) if marked.repeats else "differs"
        return [(severity, "repeats-differ", detail)]

    def _moved(self, marked: Marked) -> Wrong:
        path = self.photo_path(marked.photo)
        if not found_marks(marked.layer) or path is None:
            return []
        if self.tools.decode is None:
            self.not_refound += 1
            return []
        picture = self.tools.decode(path)
        if picture is None:
            detail = "its marks could not be looked for: the picture could not be decoded now"
            return [("unread", "photo-undecoded", f"{detail}; try again")]
        moved = self.tools.moved(picture, marked.layer)
        if not moved:
            return []
        detail = f"not where the photo shows it: {', '.join(moved)}"
        return [(self._severity(marked.version), "marks-moved", detail)]

    def _derived(self, derived: Derived, characteristic: Characteristic) -> Wrong:
        now = self.told.now
        if self.told.inputs(derived.key, now) != derived.from_entries:
            return [("altered", "derived-strange", "it is not derived from what counted then")]
        try:
            again = self._working.worth_of(derived.key, characteristic, derived.from_entries, now)
        except (CannotDerive, BadPlan, AnnotateError, ArithmeticError) as error:
            return [("altered", "derived-differs", f"what it cites gives no value: {error}")]
        if same(again.quantity, derived.quantity) and again.decisive == derived.decisive:
            return []
        value = again.quantity
        detail = f"what it cites gives {value.value} {value.unit}, not {derived.quantity.value}"
        return [(self._severity(self.made_by), "derived-differs", detail)]

    def _verdict(self, judged: Judged, characteristic: Characteristic) -> Wrong:
        subject = self.told.by_hash.get(judged.subject, (0, None))[1]
        record = subject.evidence if subject else None
        if not isinstance(record, Read | Marked | Derived) or record.key != judged.key:
            return [("altered", "verdict-strange", "it judges nothing that came before it")]
        limit, beside = limit_for(characteristic), other_limit(characteristic)
        if limit is None or not same(limit, judged.verdict.limit):
            return [("altered", "limit-differs", "it was judged by another limit than the plan's")]
        found = self._odds(record, characteristic, limit, judged.verdict)
        if (beside is None) != (judged.other is None):
            return [*found, ("altered", "limit-differs", "its second limit is not the plan's")]
        if beside is not None and judged.other is not None:
            found += self._odds(record, characteristic, beside, judged.other)
        return found

    def _odds(
        self, record: Attempted, check: Characteristic, limit: Limit, verdict: Verdict
    ) -> Wrong:
        value, why = _spoken_of(record, check, limit)
        try:
            again = judge(value, limit) if value is not None else not_measured(limit, why)
        except AnnotateError as error:
            return [("altered", "verdict-differs", f"it can't be judged: {error}")]
        if same(again, verdict):
            return []
        detail = "the value it cites gives other odds or bounds"
        if again.state != verdict.state:
            detail = f"the value it cites is {again.state}, not {verdict.state}"
        return [(self._severity(self.made_by), "verdict-differs", detail)]


def _spoken_of(
    record: Attempted, check: Characteristic, limit: Limit
) -> tuple[Quantity | None, str]:
    """Return the quantity of an attempt that one of its two limits speaks of."""
    if not isinstance(record, Marked):
        return value_of(record, check)
    result = subject_of(record.result, limit.of)
    return (result.quantity, "") if isinstance(result, Known) else (None, result.reason)


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
