"""What a plan asks, as rows to be ticked off: kinds of checks, and locations."""

from capture.desk.look.row import Row
from store.plan import Location, Plan

_KINDS = {
    "coverage": "Oil holes measured on a photo",
    "length": "Lengths",
    "depth": "Depths",
    "angle": "Angles",
    "torque": "Torques",
    "pressure": "Pressures",
    "time": "Times",
    "count": "Counts",
    "pin": "Pins tried in oil holes",
    "yes-no": "Yes or no",
    "note": "Notes",
    "computed": "Worked out of other checks",
    "agreement": "Agreement of two routes",
}
_KIND = "kind "


def trim_rows(plan: Plan, left_out: frozenset[str]) -> list[Row]:
    """Return a row for each kind of check and each location, ticked unless it is left out."""
    many: dict[str, int] = {}
    for _, _, check in plan.walk():
        many[check.kind] = many.get(check.kind, 0) + 1
    kinds = [
        Row(f"{_KIND}{kind}", words, right=_checks(many[kind]),
            ticked=f"{_KIND}{kind}" not in left_out)
        for kind, words in _KINDS.items()
        if kind in many
    ]  # fmt: skip
    places = [
        Row(at.id, f"{at.id}  {at.name}", right=_what(at), ticked=at.id not in left_out)
        for at in plan.locations
    ]
    return kinds + places


def without(plan: Plan, left_out: frozenset[str]) -> tuple[str, ...]:
    """Return what is left out of a plan: locations and checks, as combining plans names them."""
    kinds = {name.removeprefix(_KIND) for name in left_out if name.startswith(_KIND)}
    places = tuple(at.id for at in plan.locations if at.id in left_out)
    checks = tuple(
        key for key, at, check in plan.walk() if check.kind in kinds and at.id not in left_out
    )
    return places + checks


def _checks(many: int) -> str:
    return f"{many} check{'' if many == 1 else 's'}"


def _what(location: Location) -> str:
    marks = [word for word, so in (("plug", location.plug), ("gallery", location.gallery)) if so]
    return ", ".join((_checks(len(location.characteristics)), *marks))
