"""What a plan file may hold: every table with its keys, once, for the reader, schema and page."""

from typing import Literal, get_args

from msgspec import Struct

from store.characteristic import Kind, Of, Rule, Shape, Take, Which
from store.plan import Job, Role

FORMAT = 1

Form = Literal[
    "words",  # a text
    "id",  # letters, figures, - and _
    "value",  # a text with one number and its unit: "8.05 mm"
    "whole",  # a whole number
    "number",
    "yes",  # true or false
    "choice",  # one of a few words
    "texts",  # a list of texts
    "choices",  # a list of a few words
    "each",  # the name of a list in [each], or a list
    "lists",  # a table of lists of texts
    "table",  # another table
    "tables",  # a list of tables
]


class Key(Struct, frozen=True):
    """One key of a table: what is written there, and what it means.

    ``needed``: the table is refused without it. ``choices`` are the words of a choice. ``table``
    names the table below it.
    """

    name: str
    form: Form
    meaning: str
    needed: bool = False
    choices: tuple[str, ...] = ()
    table: str = ""


def _needed(name: str, form: Form, meaning: str, choices: tuple[str, ...] = ()) -> Key:
    return Key(name, form, meaning, needed=True, choices=choices)


_LIMIT = (
    Key("ask", "words", "alone: no limit yet; the figure that is still to be looked up"),
    Key("source", "words", "needed with a figure: the manual and page, or \"builder's own\""),
    Key("at_least", "value", "the lower figure, with its unit"),
    Key("at_most", "value", "the upper figure, with its unit"),
    Key("printed", "words", "the limit as its source prints it, in one unit or two: see below"),
    Key("settled", "words", "where the print says two things: which was taken, and why"),
    Key("of", "choice", "needed for a coverage, and only there", choices=get_args(Of)),
    Key(
        "rule", "choice", "guarded, if it is left out: 95 % odds either way; simple: the value "
        "alone", choices=get_args(Rule),
    ),
)  # fmt: skip

_CHECK = (
    _needed("id", "id", "its key is LOCATION.ID"),
    _needed("kind", "choice", "see below", get_args(Kind)),
    _needed("question", "words", "what the bench asks"),
    Key("unit", "words", "of a number typed without one; else that of the limit, or the usual"),
    Key("unit_us", "words", "the same in a US job"),
    Key("limit", "table", "the limit for a new part; without it nothing is judged", table="limit"),
    Key("wear_limit", "table", "the limit for a part used again", table="limit"),
    Key("judged_by", "choice", "which of them decides; new if left out", choices=get_args(Which)),
    Key("asks", "words", "the figure still to be looked up; not proven while it has no limit"),
    Key("datum", "words", "needed for a depth: the face it is measured from"),
    Key("gauge", "id", "the gauge usually used"),
    Key("instrument", "words", "the kind of gauge it is usually read with"),
    Key("resolution", "value", "what it is usually read to"),
    Key("resolution_us", "value", "the same in a US job"),
    Key("positions", "texts", "where it is read, one reading at each: a grid"),
    Key("axes", "texts", "in which directions, at each position"),
    Key("repeats", "whole", "how many times over, 1 to 99"),
    Key("take", "choice", "the number made of a grid; mean if left out", choices=get_args(Take)),
    Key("bands", "tables", "a table that the value is looked up in; judges nothing", table="band"),
    Key("formula", "words", "needed for a computed check: other checks by LOCATION.CHECK"),
    Key("of", "texts", "needed for an agreement: two of LOCATION.CHECK or LOCATION.CHECK.PART "
        "(covered, pin, offset, area, equivalent)"),
    Key("part", "id", "the part whose replacement voids what was proven"),
    Key("found", "yes", "the first attempt is as found, before any work"),
    Key("material", "words", "what is measured is made of"),
    Key("doubts", "tables", "what else makes a reading uncertain", table="doubt"),
    Key("near_diameter", "value", "of the near hole of a coverage, with its +-"),
    Key("far_diameter", "value", "of the far hole"),
    Key("wall", "value", "between the two holes"),
    Key("bore_diameter", "value", "of the bore that the near hole is drilled into"),
    Key("flat", "yes", "the face is flat: no bore"),
    Key("shape", "choice", "of the hole of a coverage", choices=get_args(Shape)),
    Key("caution", "words", "one sentence"),
)  # fmt: skip

TABLES: dict[str, tuple[Key, ...]] = {
    "plan": (
        _needed("format", "whole", "1"),
        Key("about", "words", "of a plan without [job], to be combined: one line, what it covers"),
        Key("job", "table", "the job; needed unless the plan is to be combined", table="job"),
        Key("each", "lists", "lists to multiply locations by"),
        Key("gauge", "tables", "the gauges", table="gauge"),
        Key("location", "tables", "the locations, in walking order", table="location"),
        Key("hold_point", "tables", "the stops, in closing order", table="hold_point"),
        Key("part", "tables", "the parts that go on or in", table="part"),
        Key("kit", "tables", "the kit list", table="kit"),
    ),
    "job": (
        _needed("number", "words", "of the job"),
        _needed("engine", "words", "what it is"),
        _needed("customer", "words", "whose it is"),
        _needed("shop", "words", "who does it"),
        Key("engine_number", "words", "as stamped"),
        Key(
            "units",
            "choice",
            "the unit of a length typed without one; metric if left out",
            choices=get_args(Job.__annotations__["units"]),
        ),
        Key("decimal_comma", "yes", "readings are typed with a decimal comma"),
        Key("instructions", "texts", "what the owner asked for, in sentences"),
        Key("declined", "texts", "advice the owner declined"),
        Key("left_out", "texts", "what is usual and was not asked for"),
        Key("cautions", "texts", "what can hurt somebody"),
    ),
    "gauge": (
        _needed("id", "id", "of the gauge"),
        _needed("kind", "words", "what it is, with its range"),
        _needed("resolution", "value", "its last step, in its own unit"),
        _needed("permissible_error", "value", "the largest its maker or its last check allows"),
        Key("repeatability", "value", "standard deviation of single readings; needs repeats"),
        Key("repeats", "whole", "in how many readings the repeatability was found"),
        Key("last_check", "words", "when it was last checked, as 2026-03-31"),
        Key("due", "words", "the day from which that check no longer counts, as 2027-03-31"),
        Key("set_on", "words", "what it was set on"),
        Key("difference", "yes", "it reads how much bigger or smaller than what it was zeroed to"),
        Key("expansion_per_kelvin", "number", "of its scale; 11.5e-6, gauge steel, if left out"),
        Key("marked", "words", "the number engraved on it"),
    ),
    "location": (
        _needed("id", "id", "letters, figures, - and _"),
        _needed("name", "words", "where it is, in the shop's words"),
        Key("for_each", "each", "this location once for each; see below"),
        Key("near", "words", "what the shop calls the near hole of a coverage"),
        Key("far", "words", "what the shop calls the far one"),
        Key("plug", "yes", "a plug belongs here, to be counted out and in"),
        Key("gallery", "yes", "a passage, to be logged clean before it is closed"),
        Key("group", "words", "gathers locations that are easily mixed up"),
        Key("check", "tables", "needed, unless it is a plug or a gallery", table="check"),
    ),
    "check": _CHECK,
    "limit": _LIMIT,
    "band": (
        _needed("name", "words", "what to fit, or to do"),
        Key("at_least", "value", "from where"),
        Key("at_most", "value", "to where"),
    ),
    "doubt": (
        _needed("what", "words", "what makes the reading uncertain"),
        _needed("half_width", "value", "by at most how much, either way"),
    ),
    "hold_point": (
        _needed("id", "id", "of the stop"),
        _needed("name", "words", "what goes on"),
        _needed("hides", "texts", "ids of locations, and of other hold points with all they hide"),
        Key("roles", "choices", "photos that each location must have", choices=get_args(Role)),
        Key("debris", "yes", "each gallery hidden must be logged clean"),
        Key("seal", "yes", "a photo of what closes it is asked for, once it is on"),
        Key("caution", "words", "one sentence"),
    ),
    "part": (
        _needed("id", "id", "of the part"),
        _needed("name", "words", "what it is"),
        Key("for_each", "each", "this part once for each; see below"),
        Key("location", "id", "where it goes"),
        Key("kit", "id", "the line of the kit list it comes from"),
    ),
    "kit": (
        _needed("id", "id", "of the line"),
        _needed("name", "words", "as the packing says"),
        _needed("count", "whole", "how many"),
        Key("size", "value", "as the packing says"),
    ),
}
