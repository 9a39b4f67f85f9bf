"""What is worked out from what: the wires between the checks of one plan.

A plan may ask in a circle; what is worked out from itself never has a value.
"""

from typing import NamedTuple

from store.characteristic import Characteristic, Spot
from store.errors import BadPlan
from store.formulas.formula import Ref, names, parse
from store.plan import Plan, key_of


class Wire(NamedTuple):
    """One thing that a check rests on: another check (or a part of its coverage), or one spot."""

    key: str
    part: str = ""
    spot: Spot | None = None


class Wiring:
    """The wires of one plan.

    ``checks`` are its checks by key, ``inputs`` what each grid and each worked-out check rests on
    in the order of its formula, ``users`` the checks that rest on a check, ``circular`` those that
    rest on themselves. ``hidden`` are the locations that each hold point hides, by way of others
    too, ``hides`` the hold points that hide a location, both in the plan's order.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.checks = {key: check for key, _, check in plan.walk()}
        self.inputs = {
            key: self._wires(key, check)
            for key, check in self.checks.items()
            if check.is_grid or check.is_worked_out
        }
        self.users: dict[str, list[str]] = {}
        for key, wires in self.inputs.items():
            for other in dict.fromkeys(wire.key for wire in wires):
                if other != key:
                    self.users.setdefault(other, []).append(key)
        self.circular = frozenset(key for key in self.inputs if key in self._reached_from(key))
        self.hidden = {hold.id: plan.hidden_by(hold.id) for hold in plan.hold_points}
        self.hides: dict[str, tuple[str, ...]] = {}
        for hold, locations in self.hidden.items():
            for location in locations:
                self.hides[location] = (*self.hides.get(location, ()), hold)

    def followers(self, key: str) -> tuple[str, ...]:
        """Return every check that rests on a check, near before far; not the check itself."""
        found: dict[str, None] = {}
        waiting = [key]
        while waiting:
            for user in self.users.get(waiting.pop(0), ()):
                if user not in found and user != key:
                    found[user] = None
                    waiting.append(user)
        return tuple(found)

    def _reached_from(self, key: str) -> set[str]:
        """Return every check that a check is worked out from, itself only if it goes round."""
        found: set[str] = set()
        waiting = [key]
        while waiting:
            for wire in self.inputs.get(waiting.pop(), ()):
                if wire.spot is None and wire.key not in found:
                    found.add(wire.key)
                    waiting.append(wire.key)
        return found

    def _wires(self, key: str, check: Characteristic) -> tuple[Wire, ...]:
        if check.is_grid:
            return tuple(Wire(key, spot=spot) for spot in check.spots)
        if check.of:
            return tuple(self._routed(route) for route in check.of)
        try:
            asked = names(parse(check.formula))
        except BadPlan:
            return (Wire(key),)  # what can't be read is never worked out
        return tuple(dict.fromkeys(wire for name in asked for wire in self._named(name)))

    def _routed(self, route: str) -> Wire:
        part = route.removeprefix(key_of(route)).lstrip(".")
        return Wire(key_of(route), part)

    def _named(self, ref: Ref) -> tuple[Wire, ...]:
        """Return the wires of one name in a formula: the spots it chooses, where it is a grid."""
        other = self.checks.get(ref.key)
        if other is None or not other.is_grid:
            return (Wire(ref.key, ref.part),)
        return tuple(
            Wire(ref.key, spot=spot)
            for spot in other.spots
            if all(word in {spot.position, spot.axis} for word in ref.at)
        )
