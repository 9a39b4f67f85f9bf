"""benchproof fits: a part against its bore, before the hammer."""

import argparse
from typing import TYPE_CHECKING, Any

from capture.commands.sizes import add_gauge_error
from capture.commands.typed_options import add_json
from capture.errors import WrongUse

if TYPE_CHECKING:
    from annotate.quantity import Quantity
    from capture.edge import Edge
    from capture.sizes.part_fit import Kind, PartFit

EXAMPLES = """  benchproof fits "36.61 mm" "36.48 mm" --wanted "0.05-0.20 mm"
  benchproof fits "1.4425 in" "1.4360 in" --wanted "2-6 thou" --gauge-error "0.0002 in"
  benchproof fits "47.96 mm" "48.02 mm" --clearance --wanted "0.03-0.08 mm"
  benchproof fits "36.61 mm" "36.48 mm" --old "36.58 mm" """.rstrip()

CAUTION = (
    "caution: the maker's figure for the fit comes first; driving a plug asks for eye protection "
    "and a tool without a mushroomed head"
)


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("part", metavar="PART", help="the part's outside diameter, with its unit")
    parser.add_argument("bore", metavar="BORE", help="the bore's diameter, with its unit")
    parser.add_argument(
        "--wanted", metavar="FIT",
        help='the press fit that is wanted, as "0.05-0.20 mm", "max 0.2 mm" or "min 0.05 mm"',
    )  # fmt: skip
    parser.add_argument(
        "--clearance", action="store_true", help="a clearance is wanted, not a press fit"
    )
    parser.add_argument("--old", metavar="LENGTH", help="the old part's diameter, beside the new")
    add_gauge_error(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - every verb is given it
    """Say how the part fits its bore, and whether it looks like a wrong size."""
    from capture.commands.edge import say, say_json, warn  # noqa: PLC0415 - not for a mere --help
    from capture.commands.exits import DONE, OF_STATE  # noqa: PLC0415 - the same
    from capture.commands.sizes import with_gauge_error  # noqa: PLC0415 - the same
    from capture.commands.typed_options import typed_length  # noqa: PLC0415 - the same
    from capture.sizes.part_fit import beside, fit_part  # noqa: PLC0415 - the same

    lengths: dict[str, Quantity] = {}
    assumed: list[str] = []
    for name in ("part", "bore", "old"):
        if getattr(given, name) is not None:
            typed, told = typed_length(getattr(given, name), name.upper())
            lengths[name] = with_gauge_error(typed, given.gauge_error)
            assumed += told
    part, bore = lengths["part"], lengths["bore"]
    fit = None
    if given.wanted:
        kind: Kind = "clearance" if given.clearance else "interference"
        fit = fit_part(part, bore, _wanted(given.wanted), kind=kind)
    old = beside(lengths["old"], part) if "old" in lengths else None
    sentences = [*(fit.sentences if fit else _unjudged(part, bore))]
    sentences += [old.sentence] if old else []
    if given.json:
        from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json

        old_answer = {"old": quantity_answer(old.difference) if old else None}
        say_json({**_answer(fit, part, bore), **old_answer, "sentences": sentences})
    else:
        for line in assumed:
            warn(line)
        for sentence in sentences:
            say(sentence)
        say(CAUTION)
    return OF_STATE[fit.state] if fit else DONE


def _wanted(text: str) -> "tuple[Quantity | None, Quantity | None]":
    """Return the least and the most that is wanted; raises WrongUse."""
    from capture.errors import BadReading  # noqa: PLC0415 - not for a mere --help
    from capture.printed import read_printed  # noqa: PLC0415 - the same

    try:
        wanted = read_printed(text, "mm")
    except BadReading as refused:
        raise WrongUse(f"--wanted {text!r}: {refused}") from refused
    if wanted.disagreements:
        raise WrongUse(f"--wanted {text!r}: {'; '.join(wanted.disagreements)}")
    return wanted.at_least, wanted.at_most


def _unjudged(part: "Quantity", bore: "Quantity") -> list[str]:
    """Return what can be said of a fit when it is not known which is wanted."""
    from capture.sizes.nearest import nearest  # noqa: PLC0415 - not for a mere --help
    from capture.sizes.part_fit import fit  # noqa: PLC0415 - the same

    apart = part.value - bore.value
    word = "larger" if apart > 0 else "smaller"
    said = [f"the part is {abs(apart):.3f} mm {word} than its bore"]
    for name, measured in (("part", part), ("bore", bore)):
        likeliest = nearest(measured, 1)[0]
        said.append(f"the {name} is nearest to {likeliest.name}")
    wrong = fit(part.value, bore.value)
    return [*said, *([wrong] if wrong else []), "no fit was asked for: --wanted judges it"]


def _answer(fit: "PartFit | None", part: "Quantity", bore: "Quantity") -> dict[str, Any]:
    from capture.commands.answer import quantity_answer  # noqa: PLC0415 - only with --json
    from capture.commands.sizes import sizes_answer  # noqa: PLC0415 - the same
    from capture.sizes.nearest import nearest  # noqa: PLC0415 - the same

    return {
        "kind": fit.kind if fit else None,
        "value": quantity_answer(fit.value) if fit else None,
        "state": fit.state if fit else None,
        "times": fit.times if fit else None,
        "part_sizes": sizes_answer(fit.part_sizes if fit else nearest(part)),
        "bore_sizes": sizes_answer(fit.bore_sizes if fit else nearest(bore)),
    }
