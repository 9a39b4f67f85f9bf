"""Texts typed into the forms of gauges, kit, parts and plugs -> what is filed of them."""

from collections.abc import Mapping
from pathlib import Path

from annotate.quantity import Quantity
from capture.additions import kit_line_of
from capture.desk.unfit import refuse_empty
from capture.entry import parse_reading, quantity_of
from capture.errors import BadReading, Unfit, WrongUse
from capture.register import day_to_come, entered_gauge
from store.change import Change, GaugeSet, KitLineSet, PartAdded
from store.errors import BadPlan
from store.plan import Job, Part, Plan

Texts = Mapping[str, str]

_GAUGE = (
    "kind", "resolution", "permissible_error", "last_check", "due", "set_on", "marked",
    "repeatability",
)  # fmt: skip


def gauge_set(texts: Texts, plan: Plan, today: str, gauge_id: str = "") -> Change:
    """Return a gauge as the form has it; ``gauge_id`` where it is one of the register.

    Raises Unfit by the field's name, WrongUse for what changes nothing.
    """
    if not gauge_id:
        refuse_empty(texts, id="a gauge needs an id, as mic-1")
        if any(gauge.id == texts["id"] for gauge in plan.gauges):
            raise Unfit({"id": f"{texts['id']} is in the register already: change it there"})
    typed: dict[str, object] = {name: texts.get(name) or None for name in _GAUGE}
    if gauge_id:  # what was emptied is taken away
        typed |= {name: texts[name] for name in ("last_check", "due", "set_on", "marked")}
    typed["difference"] = texts.get("difference") == "yes"
    typed["repeats"] = _whole(texts["repeats"], "repeats") if texts.get("repeats") else None
    try:
        return GaugeSet(entered_gauge(plan, gauge_id or texts["id"], typed, today))
    except BadPlan as refused:
        field = "repeats" if "repeats" in str(refused) else "id" if not gauge_id else "resolution"
        raise Unfit({field: str(refused)}) from refused


def suspicion(texts: Texts, today: str) -> tuple[str, str]:
    """Return since when a gauge may have been wrong, and why; raises Unfit."""
    refuse_empty(
        texts,
        since="since when? write the day as 2026-11-03",
        reason="a suspicion needs its reason",
    )
    if coming := day_to_come(texts["since"], today):
        raise Unfit({"since": coming})
    return texts["since"], texts["reason"]


def kit_line_set(texts: Texts, plan: Plan, line_id: str = "") -> Change:
    """Return a line of the kit list, new or put right; raises Unfit."""
    needs = {"name": "say what it is, as the packing says", "count": "how many, by the packing?"}
    if not line_id:
        needs["id"] = "a line needs an id, as core-plugs"
        if any(line.id == texts.get("id") for line in plan.kit):
            raise Unfit({"id": f"{texts['id']} is in the kit list already: put it right there"})
    refuse_empty(texts, **needs)
    count = _whole(texts["count"], "count")
    try:
        line = kit_line_of(
            line_id or texts["id"], texts["name"], count, texts.get("size", ""), plan.job
        )
    except WrongUse as refused:
        raise Unfit({"size": str(getattr(refused.__cause__, "what", refused))}) from refused
    except BadPlan as refused:
        raise Unfit({"id": str(refused)}) from refused
    return KitLineSet(line)


def part_added(texts: Texts) -> Change:
    """Return the part that was typed; raises Unfit."""
    refuse_empty(texts, id="a part needs an id, as shell-1", name="say what it is")
    try:
        part = Part(texts["id"], texts["name"], texts.get("location", ""), texts.get("kit", ""))
    except BadPlan as refused:
        raise Unfit({"id": str(refused)}) from refused
    return PartAdded(part)


def counted(texts: Texts, job: Job) -> tuple[int, Quantity | None]:
    """Return how many pieces there are, and the size of one where it was typed; raises Unfit."""
    refuse_empty(texts, count="how many are there?")
    count = _whole(texts["count"], "count")
    if not texts.get("size"):
        return count, None
    unit = "in" if job.units == "US" else "mm"
    try:
        typed = parse_reading(texts["size"], unit=unit, decimal_comma=job.decimal_comma)
    except BadReading as refused:
        raise Unfit({"size": str(refused)}) from refused
    return count, quantity_of(typed)


def existing_file(text: str, field: str) -> Path:
    """Return the file that a field names; raises Unfit."""
    path = Path(text).expanduser()
    if not text or not path.is_file():
        raise Unfit({field: f"there is no file {text}" if text else "choose the file"})
    return path


def _whole(text: str, field: str) -> int:
    if not text.strip().isdecimal():
        raise Unfit({field: f"{text!r} is no whole number"})
    return int(text)
