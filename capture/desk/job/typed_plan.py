"""Texts typed into the forms of the plan page -> changes of the plan.

They are read as the command line and a plan file read them: a limit typed here is the same limit.
"""

import re
from collections.abc import Mapping
from typing import Any, get_args

from capture.additions import check_of, limit_of
from capture.desk.unfit import refuse_empty
from capture.entry import parse_reading
from capture.errors import CaptureError, Unfit, WrongUse
from store.change import (
    FIRST,
    Change,
    CheckAdded,
    DecidingSet,
    HoldAdded,
    LimitSet,
    LocationAdded,
    LocationMoved,
    LocationRenamed,
)
from store.characteristic import Characteristic, Limit
from store.errors import BadPlan
from store.plan import HoldPoint, Job, Location, Plan, Role

Texts = Mapping[str, str]

# What a check of a kind may be told besides its question; the rest is not asked for.
_GRID = ("gauge", "instrument", "positions", "axes", "repeats", "take")
ASKED_OF: dict[str, tuple[str, ...]] = {
    "length": ("unit", *_GRID, "asks", "part", "material", "found"),
    "depth": ("datum", "unit", *_GRID, "asks", "part", "found"),
    "angle": ("unit", *_GRID, "asks", "part", "found"),
    "torque": ("unit", *_GRID, "asks", "part", "found"),
    "pressure": ("unit", *_GRID, "asks", "part", "found"),
    "time": ("unit", "asks", "part", "found"),
    "count": ("asks", "part", "found"),
    "pin": ("unit", "asks", "part", "found"),
    "coverage": ("near_diameter", "far_diameter", "wall", "bore_diameter", "flat", "asks", "part"),
    "computed": ("formula", "unit", "asks"),
    "agreement": ("of_one", "of_other"),
    "yes-no": ("part", "found"),
    "note": ("part",),
}
_NEEDED = {
    "depth": {"datum": "a depth needs the face it is measured from"},
    "computed": {"formula": "say what it is worked out of"},
    "agreement": dict.fromkeys(("of_one", "of_other"), "name a check, as C1.covered"),
}
_NUMBER = re.compile(r"[0-9][0-9.,/ ]*(?<! )")
_LISTS = ("positions", "axes")
_ENDS = ("at_least", "at_most", "printed")
_TICKS = ("found", "flat")
_FIGURES = ("at_least", "at_most", "printed", "settled", "source", "of", "rule")


def location_added(texts: Texts) -> Change:
    """Return the location that was typed, in its turn; raises Unfit."""
    refuse_empty(texts, id="a location needs an id, as G3", name="say where it is, in your words")
    holes: dict[str, Any] = {name: texts[name] for name in ("near", "far") if texts.get(name)}
    what = texts.get("what", "")
    try:
        location = Location(
            texts["id"], texts["name"], plug=what == "plug", gallery=what == "gallery",
            group=texts.get("group", ""), **holes,
        )  # fmt: skip
    except BadPlan as refused:
        raise Unfit({"id": str(refused)}) from refused
    return LocationAdded(location, texts.get("after", ""))


def check_added(texts: Texts, job: Job) -> Change:
    """Return the check that was typed; raises Unfit."""
    refuse_empty(
        texts,
        location="say at which location",
        id="a check needs an id, as depth",
        question="say what the bench asks",
    )
    kind = texts["kind"]
    refuse_empty(texts, **_NEEDED.get(kind, {}))
    written: dict[str, Any] = {"id": texts["id"], "kind": kind, "question": texts["question"],
                               "caution": texts.get("caution", "")}  # fmt: skip
    written |= {name: _written(name, texts.get(name, "")) for name in ASKED_OF[kind]}
    routes = [written.pop(name) for name in ("of_one", "of_other") if name in written]
    written |= {"of": routes} if routes else {}
    try:
        return CheckAdded(texts["location"], check_of(written, job))
    except WrongUse as refused:
        raise Unfit({_key_of(refused, "id"): _what_of(refused)}) from refused


def _written(name: str, text: str) -> Any:  # noqa: ANN401 - as a plan file would hold it
    if name in _LISTS:
        return [word.strip() for word in text.split(",") if word.strip()]
    if name in _TICKS:
        return text == "yes"
    if name == "repeats" and text:
        if not text.isdecimal():
            raise Unfit({"repeats": f"{text!r} is no whole number: 1 to 99"})
        return int(text)
    return text


def renamed(texts: Texts, location: str) -> Change:
    """Return another name for a location; raises Unfit."""
    refuse_empty(texts, name="the new name says nothing")
    return LocationRenamed(location, texts["name"])


def moved(plan: Plan, location: str, steps: int) -> Change | None:
    """Return a location's turn one earlier (-1) or later (1); None where it is at the end."""
    ids = [each.id for each in plan.locations]
    to = ids.index(location) + steps
    if not 0 <= to < len(ids):
        return None
    others = [each for each in ids if each != location]
    return LocationMoved(location, others[to - 1] if to else FIRST)


def limit_changes(texts: Texts, key: str, plan: Plan) -> list[Change]:
    """Return what becomes of a check's limit: given, taken away, or which of two decides.

    Raises Unfit by the field's name, BadPlan.
    """
    _, check = plan.characteristic(key)
    which: Any = texts.get("which") or "new"
    changes: list[Change] = []
    if texts.get("there") == "none":
        refuse_empty(texts, reason='say why, as "the maker gives no figure"')
        changes.append(LimitSet(key, None, which))
    elif any(texts.get(name) for name in ("at_least", "at_most", "printed", "source", "settled")):
        changes.append(LimitSet(key, _limit(texts, key, check, plan.job), which))
    decides = texts.get("decides", "")
    if decides and decides != check.judged_by:
        changes.append(DecidingSet(key, decides))  # type: ignore[arg-type] # new or wear
    if not changes:
        raise Unfit({"at_least": "type a figure with its unit, here or in one of the next two"})
    return changes


def limit_title(key: str, check: Characteristic) -> str:
    """Return what the form of a limit is headed with: whose limit, in which unit, what to find."""
    unit = "" if check.kind == "coverage" else f", in {check.unit} where no unit is typed"
    return f"Limit of {key}{unit}{f': {check.asks}' if check.asks else ''}"


def assumed_words(texts: Texts, key: str, plan: Plan) -> str:
    """Return "mm assumed" where a figure was typed without a unit, as a reading says it."""
    _, check = plan.characteristic(key)
    typed = (texts.get(name, "") for name in ("at_least", "at_most"))
    given = any(text != with_unit(text, check, plan.job) for text in typed)
    return f"{check.unit} assumed" if given else ""


def with_unit(text: str, check: Characteristic, job: Job) -> str:
    """Return a figure with the check's unit where it was typed without one, as a reading is read.

    What can't be read is left as it is, to be refused with its reason. A coverage's is left too:
    a bare number may be a fraction or a percentage. A count has no unit to be assumed.
    """
    if check.kind in {"coverage", "count"} or check.unit == "1" or not text:
        return text
    try:
        typed = parse_reading(text, unit=check.unit, decimal_comma=job.decimal_comma,
                              depth=check.kind == "depth")  # fmt: skip
    except CaptureError:
        return text
    number = _NUMBER.search(text)
    if not typed.unit_assumed or number is None:
        return text
    return f"{text[: number.end()]} {check.unit}{text[number.end() :]}"


def _limit(texts: Texts, key: str, check: Characteristic, job: Job) -> Limit:
    for name in ("at_least", "at_most"):
        if "(" in texts.get(name, ""):
            raise Unfit({name: "a limit in two units goes into the print: there they are compared"})
    refuse_empty(texts, source='a limit needs its source: manual and page, or "builder\'s own"')
    written = {name: texts.get(name, "") for name in _FIGURES}
    written |= {name: with_unit(written[name], check, job) for name in ("at_least", "at_most")}
    if check.kind != "coverage":
        written["of"] = ""
    try:
        return limit_of(key, check, written, job)
    except WrongUse as refused:
        typed = next(name for name in (*_ENDS, "source") if texts.get(name))
        raise Unfit({_key_of(refused, typed): _what_of(refused)}) from refused


def hold_added(texts: Texts) -> Change:
    """Return the hold point that was typed; raises Unfit."""
    refuse_empty(texts, id="a hold point needs an id", name="say what goes on",
                 hides="name the locations that it hides")  # fmt: skip
    hides = tuple(word.strip() for word in texts["hides"].split(",") if word.strip())
    roles = tuple(word.strip() for word in texts.get("roles", "").split(",") if word.strip())
    known: tuple[Role, ...] = get_args(Role)
    for role in roles:
        if role not in known:
            raise Unfit({"roles": f"{role!r} is not one of {', '.join(known)}"})
    try:
        hold = HoldPoint(
            texts["id"], texts["name"], hides,
            roles=tuple(role for role in known if role in roles),
            debris=texts.get("debris") == "yes", seal=texts.get("seal") == "yes",
            caution=texts.get("caution", ""),
        )  # fmt: skip
    except BadPlan as refused:
        raise Unfit({"id": str(refused)}) from refused
    return HoldAdded(hold)


def _key_of(refused: WrongUse, otherwise: str) -> str:
    key = getattr(refused.__cause__, "key", "") or otherwise
    return "of_one" if key == "of" and otherwise == "id" else str(key)


def _what_of(refused: WrongUse) -> str:
    """Return a plan file's refusal without the place in the file that there is none of here."""
    sentence = str(getattr(refused.__cause__, "what", "") or refused)
    for name in _FIGURES:
        words = name.replace("_", " ")
        sentence = sentence.replace(f"'{name}'", f"'{words}'").replace(name, words)
    return sentence
