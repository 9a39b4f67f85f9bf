"""The fields of the plan page's forms."""

from typing import get_args

from capture.desk.look.field import ChoiceField, Field, LineField, PickField, WordsField
from capture.desk.look.tick import TickField
from store.characteristic import Kind, Of, Take
from store.plan import Plan, Role

_YES_NO = (("", "no"), ("yes", "yes"))
_KIND_WORDS = {
    "coverage": "coverage: an oil hole on a photo", "length": "length",
    "depth": "depth from a face",
    "angle": "angle", "torque": "torque", "pressure": "pressure", "time": "time",
    "count": "count", "pin": "pin: passed and stopped", "yes-no": "yes or no",
    "note": "note in words", "computed": "worked out by a formula",
    "agreement": "agreement of two checks",
}  # fmt: skip


def location_fields() -> dict[str, Field]:
    """Return the fields of a new location."""
    return {
        "name": LineField("Where it is, in your words"),
        "after": PickField("Walked after"),
        "what": ChoiceField(
            "What belongs there", (("", "neither"), ("plug", "a plug"), ("gallery", "a gallery"))
        ),
        "group": LineField("Group, of those easily mixed up"),
        "near": LineField("Near hole is called", "bearing hole, if left empty"),
        "far": LineField("Far hole is called", "block hole, if left empty"),
        "reason": LineField("Why it is added"),
        "id": LineField("Id: letters, figures, - and _", "made of the name; it stays"),
    }


def check_fields() -> dict[str, Field]:
    """Return the fields of a new check, those of every kind."""
    return {
        "location": PickField("At which location"),
        "kind": PickField("What kind", [(k, _KIND_WORDS[k]) for k in get_args(Kind)]),
        "question": WordsField("What the bench asks", lines=2),
        "unit": LineField("Unit of a number typed without one"),
        "datum": LineField("Face it is measured from"),
        "formula": LineField("Formula", "of other checks, as M1.bore - M1.journal"),
        "of_one": LineField("One check, as C1.covered"),
        "of_other": LineField("The other, as C1.pin"),
        "near_diameter": LineField("Near hole's diameter, with +-"),
        "far_diameter": LineField("Far hole's diameter, with +-"),
        "wall": LineField("Wall between the holes"),
        "bore_diameter": LineField("Diameter of the bore it opens into"),
        "flat": ChoiceField("The face is flat", _YES_NO),
        "gauge": PickField("Gauge usually used"),
        "instrument": LineField("Kind of gauge, where any will do"),
        "positions": LineField("Positions", "front, rear: one reading at each"),
        "axes": LineField("Directions at each", "along, across"),
        "repeats": LineField("How many times over"),
        "take": PickField("The number made of them", [("", "the mean")] + [
            (take, f"the {take}") for take in get_args(Take) if take != "mean"
        ]),
        "asks": LineField("Figure still to be looked up", "maker's figure and page"),
        "part": PickField("Part whose replacement voids it"),
        "material": LineField("Material of what is measured"),
        "found": ChoiceField("First measured as found", _YES_NO),
        "caution": LineField("Caution: what can hurt somebody"),
        "reason": LineField("Why it is added"),
        "id": LineField("Id: its key is then LOCATION.ID", "made of the question; it stays"),
    }  # fmt: skip


def limit_fields() -> dict[str, Field]:
    """Return the fields of a limit."""
    return {
        "at_least": LineField("At least", "a depth with BELOW, FLUSH or PROUD"),
        "at_most": LineField("At most"),
        "source": LineField("Source", "manual and page, or builder's own"),
        "reason": LineField("Why it is changed", "not needed for one that was to be looked up"),
        "also": TickField("Also for others"),
        "there": ChoiceField("Limit", (("", "as typed here"), ("none", "there is none"))),
        "which": ChoiceField("For", (("new", "a new part"), ("wear", "one used again"))),
        "printed": LineField(
            "Or as the source prints it", "0.04-0.09 mm (0.0016-0.0035 in): the two are compared"
        ),
        "settled": LineField("Where the two disagree: which was taken, and why"),
        "of": PickField("Of what", [(of, of) for of in get_args(Of)]),
        "rule": ChoiceField(
            "How doubt is treated", (("", "95 % odds asked"), ("simple", "the value alone"))
        ),
        "decides": ChoiceField("Which decides", (("new", "the new one"), ("wear", "the other"))),
    }


def hold_fields() -> dict[str, Field]:
    """Return the fields of a new hold point."""
    return {
        "name": LineField("What goes on", "Sump goes on"),
        "hides": LineField("What it hides", "locations and other hold points: M1, G3"),
        "roles": LineField("Photos each must have", f"of {', '.join(get_args(Role))}"),
        "debris": ChoiceField("Galleries logged clean", _YES_NO),
        "seal": ChoiceField("A photo of what closes it", _YES_NO),
        "caution": LineField("Caution: what can hurt somebody"),
        "reason": LineField("Why it is added"),
        "id": LineField("Id", "made of the name; it stays"),
    }


def offer_plan(fields: dict[str, Field], plan: Plan) -> None:
    """Offer the locations, gauges and parts of a plan in the fields that pick one."""
    places = [(each.id, f"{each.id}  {each.name}") for each in plan.locations]
    offers = {
        "after": [("", "the last one"), ("first", "nothing: it is the first"), *places],
        "location": places,
        "gauge": [("", "none"), *((each.id, f"{each.id}  {each.kind}") for each in plan.gauges)],
        "part": [("", "none"), *((each.id, f"{each.id}  {each.name}") for each in plan.parts)],
    }
    for name, choices in offers.items():
        field = fields.get(name)
        if isinstance(field, PickField):
            field.offer(choices)
