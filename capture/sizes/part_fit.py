"""Part and bore before the hammer: how tight, against what is wanted, and which sizes they are."""

from fractions import Fraction
from math import floor, log10
from typing import Literal

from msgspec import Struct

from annotate.quantity import Quantity
from capture.errors import WrongUse
from capture.sizes.nearest import Meant, nearest
from capture.sizes.series import NOMINAL_STEP_MM, both_names, checked_diameter
from store.budgets.budget import combined, quantity_budget
from store.characteristic import Limit
from store.judge import judge
from store.verdict import State

Kind = Literal["interference", "clearance"]

LOOK_AGAIN = "look for a wrong size in the kit, and measure both again before it goes in"
_WORTH_TELLING = 1.5  # times what is wanted


class PartFit(Struct, frozen=True):
    """A part against its bore.

    ``value`` is the interference or clearance with its uncertainty, in the unit of what is wanted;
    ``state`` says whether it is as wanted, by the guarded rule. ``times`` is how many times the
    most wanted it is, None unless it is more. ``sentences`` are for a person.
    """

    kind: Kind
    value: Quantity
    state: State
    times: float | None
    part_sizes: tuple[Meant, ...]
    bore_sizes: tuple[Meant, ...]
    sentences: tuple[str, ...]


class Beside(Struct, frozen=True):
    """An old part beside a new one: new minus old, and a sentence for a person."""

    difference: Quantity
    differ: bool
    sentence: str


def fit_part(
    part: Quantity,
    bore: Quantity,
    wanted: tuple[Quantity | None, Quantity | None],
    *,
    kind: Kind = "interference",
) -> PartFit:
    """Return how a part fits its bore, against the least and the most that is wanted.

    Interference is part minus bore, clearance bore minus part; the two diameters are taken as
    independent. Raises BadReading for what is no diameter, WrongUse if nothing is wanted,
    UnitMismatch for two kinds.
    """
    least, most = wanted
    if least is None and most is None:
        raise WrongUse("a fit needs the least or the most that is wanted")
    unit = least.unit if least else most.unit if most else part.unit
    outer, inner = (part, bore) if kind == "interference" else (bore, part)
    value = _difference(outer.to(unit), inner.to(unit))
    verdict = judge(value, Limit(source="the fit wanted", at_least=least, at_most=most))
    part_sizes, bore_sizes = nearest(part), nearest(bore)
    times = _times(value, most)
    told = f"{_told(value, kind, _wanted(least, most))}: {verdict.state}"
    if times is not None and times >= _WORTH_TELLING:
        told += f", about {times:.2g} times the most wanted"
    sentences = [told]
    if verdict.state != "within":
        sentences += _sizes_told(part, bore, part_sizes, bore_sizes)
    return PartFit(
        kind,
        value,
        verdict.state,
        times,
        part_sizes,
        bore_sizes,
        (*sentences, *_advice(verdict.state)),
    )


def beside(old: Quantity, new: Quantity) -> Beside:
    """Return how an old part and its new one differ in diameter, in the old one's unit.

    They differ if 0 is outside the 95 % interval of new minus old. Raises BadReading for what is
    no diameter, UnitMismatch for two kinds.
    """
    for diameter in (old, new):
        checked_diameter(diameter.to("mm").value)
    apart = _difference(new.to(old.unit), old)
    low, high = apart.interval()
    if low <= 0 <= high:
        size = _spelled(apart, size=True)
        told = f"old and new are one size as far as they were measured: {size} apart"
        return Beside(apart, differ=False, sentence=told)
    word = "larger" if apart.value > 0 else "smaller"
    names = [nearest(each, 1)[0].name for each in (old, new)]
    sizes = (
        f"both are nearest to {names[0]}"
        if names[0] == names[1]
        else f"the old is nearest to {names[0]}, the new to {names[1]}"
    )
    size = _spelled(Quantity(abs(apart.value), apart.unit, u=apart.u, dof=apart.dof))
    return Beside(
        apart, differ=True, sentence=f"the new part is {size} {word} than the old: {sizes}"
    )


def fit(part_mm: Fraction | float, bore_mm: Fraction | float) -> str:
    """Return a sentence if part and bore are more than one nominal step apart, else "".

    It names the standard size each is nearest to, in inches and in mm. Raises BadReading for what
    is no diameter.
    """
    part, bore = checked_diameter(part_mm), checked_diameter(bore_mm)
    apart = abs(part - bore)
    if apart <= NOMINAL_STEP_MM:
        return ""
    return (
        f"the part is {float(part):.2f} mm, the bore {float(bore):.2f} mm, "
        f"{float(apart):.2f} mm apart: "
        f"the part is nearest to {both_names(part)}, the bore to {both_names(bore)}; "
        f"{LOOK_AGAIN}"
    )


def _difference(a: Quantity, b: Quantity) -> Quantity:
    """Return a - b, both in one unit, the two taken as independent."""
    terms = [(quantity_budget(a, "a", "first"), 1.0), (quantity_budget(b, "b", "second"), -1.0)]
    return combined(a.value - b.value, a.unit, terms).quantity()


def _told(value: Quantity, kind: Kind, wanted: str) -> str:
    """Return the fit in words; a part that is loose where it should be tight is called loose."""
    if value.value >= 0:
        return f"{_spelled(value)} {kind}, wanted {wanted}"
    other = "clearance" if kind == "interference" else "interference"
    return f"{_spelled(value, size=True)} {other} where {kind} of {wanted} is wanted"


def _times(value: Quantity, most: Quantity | None) -> float | None:
    if most is None or most.value <= 0:
        return None
    times = value.value / most.to(value.unit).value
    return times if times > 1 else None


def _wanted(least: Quantity | None, most: Quantity | None) -> str:
    if least is None or most is None:
        side = least or most
        word = "at least" if least else "at most"
        return f"{word} {side.value:g} {side.unit}" if side else ""
    if least.unit == most.unit:
        return f"{least.value:g} to {most.value:g} {most.unit}"
    return f"{least.value:g} {least.unit} to {most.value:g} {most.unit}"


def _sizes_told(
    part: Quantity, bore: Quantity, part_sizes: tuple[Meant, ...], bore_sizes: tuple[Meant, ...]
) -> list[str]:
    return [
        f"the {word} measures {_spelled(measured)}: nearest are {_ranked(sizes)}"
        for word, measured, sizes in (("part", part, part_sizes), ("bore", bore, bore_sizes))
    ]


def _ranked(sizes: tuple[Meant, ...]) -> str:
    """Return the sizes with how much the measured one is larger or smaller than each."""
    return ", ".join(f"{size.name} ({_away(size.away_mm)})" for size in sizes)


def _away(away_mm: float) -> str:
    told = f"{abs(away_mm):.2f} mm"
    if told == "0.00 mm":
        return "to 0.01 mm"
    return f"{told} {'above' if away_mm > 0 else 'below'} it"


def _advice(state: State) -> tuple[str, ...]:
    if state == "outside":
        return (LOOK_AGAIN,)
    if state == "too close to call":
        return ("measure both again with a finer gauge before it goes in",)
    return ()


def _spelled(value: Quantity, *, size: bool = False) -> str:
    """Return "0.870 mm +- 0.014 mm": the 95 % half width to two figures, the value as fine.

    Without its sign if only its ``size`` is told.
    """
    number = abs(value.value) if size else value.value
    low, high = value.interval()
    half = float(f"{(high - low) / 2:.1e}")
    if half == 0:
        return f"{number:g} {value.unit}"
    places = max(0, 1 - floor(log10(half)))
    return f"{number:.{places}f} {value.unit} +- {half:.{places}f} {value.unit}"
