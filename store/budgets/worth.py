"""What a typed reading is worth: its budget, from what was typed, the gauge and the temperature.

- Rounding: half of the larger of the step typed and the gauge's resolution, either way, is a
  rectangle (JCGM 100:2008 (GUM) 4.3.7, F.2.2.1), each reading's own.
- The gauge's permissible error is a rectangle, and ONE error for all its readings: it cancels in
  the difference of two and stays whole in a mean of many. That is our choice. It holds where the
  two are read alike at about one size (one mic for the journal and for the bore gauge's setting);
  it flatters a difference of two far apart on the scale, or of one inside and one outside.
- The gauge's repeatability is a t with the degrees of freedom of the repeats it was found in.
- A typed +- speaks for rounding and gauge together, instead of both, and is the reading's own.
- Each doubt is a rectangle of the reading's own.
- Temperature: a size is meant at 20 degrees C. With the temperatures of part and gauge and a known
  material, L (a_part (T_part - 20) - a_gauge (T_gauge - 20)) is taken off. Each temperature is
  good to +- 1 K, and is one error for the readings of one check at one temperature (one part, one
  sitting); each expansion to +- 10 %, one error for the material or gauge wherever it is read.
  Both are common practice, without a source.
"""

from fractions import Fraction
from math import inf, sqrt

from annotate.quantity import UNITS, Quantity
from store.budgets.budget import Budget, Source, combined, quantity_budget
from store.budgets.materials import GAUGE_STEEL_PER_K, REFERENCE_C, expansion_per_k
from store.characteristic import Doubt
from store.errors import BadPlan, CannotDerive
from store.evidence import Read
from store.plan import Gauge

TEMPERATURE_K = 1.0
EXPANSION_PART = 0.10

REPEATABILITY = "repeatability of "  # begins the label of each reading's own share of it


def reading_budget(
    read: Read,
    *,
    entry: str,
    unit: str = "",
    gauge: Gauge | None = None,
    material: str = "",
    doubts: tuple[Doubt, ...] = (),
    zero: Budget | None = None,
    corrected: bool = True,
) -> Budget:
    """Return the budget of a reading, in the unit it was read in.

    ``entry`` is the reading's hash: what is its own is labelled with it. ``unit`` is needed only
    while ``read.quantity`` is empty. ``gauge`` and ``material`` are those of the record and the
    plan as they stood; ``doubts`` are the check's, those of the reading itself are added.

    With ``read.zero`` the value is the size it was zeroed to, and what the dial showed on top or
    off it. ``zero`` is the budget of that size as read, WITHOUT its temperature correction (ask
    with ``corrected=False``): its errors keep their labels. Without it the kept size is one error.

    Raises CannotDerive for a reading without a number or a width that can't be, UnitMismatch for
    a gauge, doubt or zero of another kind. A material not known here is not corrected for.
    """
    unit = read.quantity.unit if read.quantity else unit
    if not unit:
        raise CannotDerive(f"{read.text!r} is no number to work with")
    dial = Budget(_exact(read), unit, tuple(_own(read, entry, unit, gauge, doubts)))
    size = dial if read.zero is None else _on_zero(read, dial, zero)
    return _at_20(read, size, entry, gauge, material) if corrected else size


def reading_quantity(
    read: Read,
    *,
    unit: str = "",
    gauge: Gauge | None = None,
    material: str = "",
    doubts: tuple[Doubt, ...] = (),
) -> Quantity:
    """Return what a reading is worth from its record alone: what is kept as Read.quantity.

    As reading_budget. A zero's uncertainty is that of the size kept in the record.
    """
    return reading_budget(
        read, entry="", unit=unit, gauge=gauge, material=material, doubts=doubts
    ).quantity()


def own_label(what: str, entry: str) -> str:
    """Return the label of an error that is one reading's own."""
    return f"{what} of {entry}"


def _exact(read: Read) -> float:
    if read.exact:
        try:
            return float(Fraction(read.exact))
        except (ValueError, ArithmeticError) as error:
            raise CannotDerive(f"{read.exact!r} is no number to work with") from error
    if read.quantity is None:
        raise CannotDerive(f"{read.text!r} is no number to work with")
    return read.quantity.value


def _own(
    read: Read, entry: str, unit: str, gauge: Gauge | None, doubts: tuple[Doubt, ...]
) -> list[Source]:
    """Return the errors of what was read off, before any zero or temperature."""
    if UNITS[unit][1] == "count":
        return []
    if read.plus_minus is not None:
        sources = [_rectangle(own_label("+-", entry), "+- as typed", read.plus_minus)]
    else:
        sources = _of_gauge(read, entry, unit, gauge)
    for number, doubt in enumerate((*doubts, *read.doubts), start=1):
        half_width = doubt.half_width.to(unit).value
        sources.append(_rectangle(own_label(f"doubt {number}", entry), doubt.what, half_width))
    return [source for source in sources if source.u]


def _of_gauge(read: Read, entry: str, unit: str, gauge: Gauge | None) -> list[Source]:
    rounding = own_label("rounding", entry)
    if gauge is None:
        return [_rectangle(rounding, "rounding", read.half_step)]
    # Nobody reads finer than the gauge.
    resolution = max(read.half_step, gauge.resolution.to(unit).value / 2)
    error = gauge.permissible_error.to(unit).value
    sources = [
        _rectangle(rounding, f"resolution of {gauge.id}", resolution),
        _rectangle(f"gauge {gauge.id}", f"error of {gauge.id}", error),
    ]
    if gauge.repeatability is not None:
        family = f"{REPEATABILITY}{gauge.id}"
        spread = gauge.repeatability.to(unit).value
        label = own_label(family, entry)
        dof = gauge.repeats - 1.0
        sources.append(Source(label, family, spread, "t", dof=dof, family=family))
    return sources


def _on_zero(read: Read, dial: Budget, zero: Budget | None) -> Budget:
    """Return the size of a part that a difference gauge compared with its zero."""
    if read.zero is None or not read.direction:
        raise CannotDerive(
            f"{read.text!r}: say whether the part is bigger or smaller than the zero"
        )
    kept = read.zero.size.to(dial.unit)
    label = own_label("zero", read.zero.entry or f"{read.zero.words} {kept.value}")
    zero = zero.to(dial.unit) if zero else quantity_budget(kept, label, "what it was zeroed to")
    way = {"bigger": 1.0, "smaller": -1.0, "same": 0.0}[read.direction]
    # What the dial may be wrong by counts even where it showed nothing.
    terms = [(zero, 1.0), (dial, way or 1.0)]
    return combined(zero.value + way * dial.value, dial.unit, terms)


def _at_20(read: Read, size: Budget, entry: str, gauge: Gauge | None, material: str) -> Budget:
    """Return a length as it would be at 20 degrees C; as it is, where that can't be told."""
    if read.part_c is None or read.gauge_c is None or UNITS[size.unit][1] != "length":
        return size
    try:
        part_per_k = expansion_per_k(material)
    except BadPlan:
        return size
    gauge_id, gauge_per_k = (gauge.id, gauge.expansion) if gauge else ("", GAUGE_STEEL_PER_K)
    grown_part, grown_gauge = read.part_c - REFERENCE_C, read.gauge_c - REFERENCE_C
    length = size.value
    sitting = read.key or entry
    sources = [
        _signed(
            f"temperature {read.part_c} of the part of {sitting}",
            "temperature of the part",
            -length * part_per_k * TEMPERATURE_K,
        ),
        _signed(
            f"temperature {read.gauge_c} of gauge {gauge_id} at {sitting}",
            "temperature of the gauge",
            length * gauge_per_k * TEMPERATURE_K,
        ),
        _signed(
            f"expansion of {material.casefold()}",
            f"expansion of {material}",
            -length * grown_part * part_per_k * EXPANSION_PART,
        ),
        _signed(
            f"expansion of gauge {gauge_id}",
            "expansion of the gauge",
            length * grown_gauge * gauge_per_k * EXPANSION_PART,
        ),
    ]
    correction = length * (part_per_k * grown_part - gauge_per_k * grown_gauge)
    warm = Budget(0.0, size.unit, tuple(source for source in sources if source.u))
    return combined(length - correction, size.unit, [(size, 1.0), (warm, 1.0)])


def _rectangle(label: str, words: str, half_width: float) -> Source:
    """Return an error that lies anywhere within +- a half-width: u is that over root 3."""
    if not 0 <= half_width < inf:
        raise CannotDerive(f"{words}: nothing is known to +- {half_width}")
    return Source(label, words, half_width / sqrt(3))


def _signed(label: str, words: str, reach: float) -> Source:
    """Return such an error that pushes the value up, or down, as it grows."""
    return Source(label, words, reach / sqrt(3))
