"""Plugs, parts, kit, gauges and plain sayings -> the JSON that programs read."""

from typing import Any

from msgspec import to_builtins

from store.plan import Gauge
from store.stock import GaugeState, KitState, PartState, PlugPlace, Told


def told_answer(told: Told) -> dict[str, Any]:
    """Return one thing that was said, with who said it and whether it was struck."""
    record = to_builtins(told.record)
    return {
        **(record if isinstance(record, dict) else {}),
        "entry": told.stamp.entry,
        "number": told.stamp.seq,
        "by": told.stamp.by,
        "at": told.stamp.at,
        "struck": told.struck.reason if told.struck else None,
    }


def plug_answer(plug: PlugPlace) -> dict[str, Any]:
    """Return one line of the plug map."""
    return {
        "location": plug.location.id,
        "name": plug.location.name,
        "group": plug.location.group,
        "state": plug.state,
        "out": told_answer(plug.out) if plug.out else None,
        "in": told_answer(plug.fitted) if plug.fitted else None,
        "alike": list(plug.alike),
    }


def part_answer(part: PartState) -> dict[str, Any]:
    """Return a part with the piece that is fitted now, and those before it."""
    return {
        "id": part.part.id,
        "name": part.part.name,
        "location": part.part.location,
        "kit": part.part.kit,
        "fitted": told_answer(part.fitted) if part.fitted else None,
        "earlier": [told_answer(piece) for piece in part.earlier],
    }


def kit_answer(kit: KitState) -> dict[str, Any]:
    """Return a line of the kit."""
    return {
        "id": kit.line.id,
        "name": kit.line.name,
        "packing": kit.line.count,
        "counted": told_answer(kit.counted) if kit.counted else None,
        "wanted": kit.wanted,
        "fitted": kit.fitted,
    }


def gauge_answer(state: GaugeState) -> dict[str, Any]:
    """Return a gauge of the register with what is against it."""
    gauge = state.gauge
    return {
        "id": gauge.id,
        "kind": gauge.kind,
        "marked": gauge.marked,
        "resolution": _given(gauge, "resolution"),
        "permissible_error": _given(gauge, "permissible_error"),
        "repeatability": _given(gauge, "repeatability"),
        "last_check": gauge.last_check,
        "due": gauge.due,
        "set_on": gauge.set_on,
        "difference": gauge.difference,
        "overdue": state.overdue,
        "suspect": state.suspect,
        "since": state.since,
        "touched": list(state.touched),
    }


def _given(gauge: Gauge, member: str) -> dict[str, Any] | None:
    quantity = getattr(gauge, member)
    return None if quantity is None else {"value": quantity.value, "unit": quantity.unit}
