"""Kit, parts and plugs in words."""

from annotate.quantity import Quantity
from capture.words.quantities import given_text, quantity_text
from store.attempt import numbered
from store.evidence import KitCounted
from store.stock import KitState, PartState, PlugPlace


def kit_line(state: KitState) -> str:
    """Return a line of the kit: the packing, the count, what is wanted and what went on."""
    line = state.line
    size = f", {given_text(line.size)}" if line.size else ""
    parts = [f"{line.id}  {line.name}{size}: {line.count} by the packing"]
    counted = state.counted.record if state.counted else None
    if isinstance(counted, KitCounted):
        measured = f" ({quantity_text(counted.size)}{size_beside(state)})" if counted.size else ""
        parts.append(f"{counted.count} counted{measured}")
    else:
        parts.append("not counted")
    parts += [f"{state.wanted} wanted", f"{state.fitted} fitted"]
    return ", ".join(parts)


def size_beside(state: KitState) -> str:
    """Return how far the size of a piece is from the packing's: a kit can hold the wrong one."""
    counted = getattr(state.counted, "record", None)
    size, packing = getattr(counted, "size", None), state.line.size
    if size is None or packing is None:
        return ""
    apart = round(size.to(packing.unit).value - packing.value, 4)
    if apart == 0:
        return ", as the packing says"
    gap = given_text(Quantity(abs(apart), packing.unit))
    return f", {gap} {'bigger' if apart > 0 else 'smaller'} than the packing says"


def part_line(state: PartState, home: str) -> str:
    """Return a part with the piece that is fitted now, and how many were before it.

    ``home`` is the bench that began the book: an entry of another is told with its name.
    """
    where = f" at {state.part.location}" if state.part.location else ""
    head = f"{state.part.id}  {state.part.name}{where}: "
    if state.fitted is None:
        return f"{head}not fitted"
    before = f", {len(state.earlier)} before it" if state.earlier else ""
    piece = getattr(state.fitted.record, "identity", "")
    number = numbered(state.fitted.stamp, home)
    return f"{head}{piece}, by {state.fitted.stamp.by}, entry {number}{before}"


def plug_sum(plugs: tuple[PlugPlace, ...]) -> str:
    """Return the sum of the plug map: out, in, never fitted, to do."""
    out = sum(plug.out is not None for plug in plugs)
    back = sum(plug.out is not None and plug.state == "in" for plug in plugs)
    parts = [f"out {out} = in {back}" if out == back else f"out {out}, in {back}: NOT equal"]
    new = sum(plug.out is None and plug.state == "in" for plug in plugs)
    for count, words in (
        (new, "in without one counted out"),
        (sum(plug.state == "never fitted" for plug in plugs), "never fitted"),
        (sum(plug.state == "not counted" for plug in plugs), "not counted"),
    ):
        parts += [f"{count} {words}"] if count else []
    return ", ".join(parts)
