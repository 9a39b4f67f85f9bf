"""What a plan asks, as rows to be ticked off: kinds of checks, and locations."""

from capture.desk.look.row import Row
from capture.plans.trimming import hanging_on
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
_MOST_TOLD = 4


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
    """Return what is left out of a plan: locations and checks, as combining plans names them.

    What is worked out from a check that is left out is left out too: see ``also_without``.
    """
    chosen = _chosen(plan, left_out)
    return chosen + hanging_on(plan, chosen)


def also_without(plan: Plan, left_out: frozenset[str]) -> str:
    """Return what is left out because it is worked out from what is, in words; empty for none."""
    keys = hanging_on(plan, _chosen(plan, left_out))
    if not keys:
        return ""
    told = [f"{key} ({_question(plan, key)})" for key in keys[:_MOST_TOLD]]
    told += [f"and {len(keys) - _MOST_TOLD} more"] if len(keys) > _MOST_TOLD else []
    return f"Also left out, because they are worked out from it: {', '.join(told)}"


def _question(plan: Plan, key: str) -> str:
    asked = plan.characteristic(key)[1].question.rstrip("?")
    return f"{asked[:1].lower()}{asked[1:]}"


def _chosen(plan: Plan, left_out: frozenset[str]) -> tuple[str, ...]:
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
