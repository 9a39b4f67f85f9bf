"""The bench's tables of accuracy: one row per way of asking, strata, refusals by cause, targets."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from tests.bench import tool
from tests.bench.scenes import Scene
from tests.bench.score import Answer, Summary, state, summarise, wrong
from tests.bench.strata import make_up, wide_arc
from tests.bench.targets import TOO_FEW, Answers, by_stratum, can_be_missed, shown, targets

_HEAD = (
    f"  {'way of asking':42}{'answered':>10}{'median':>8}{'90 %':>8}{'worst':>8}"
    f"{'hit rate':>14}{'p':>7}{'width':>8}{'score':>8}"
)


def print_group(
    name: str, scenes: Mapping[str, Scene], answers: Answers, *, each: bool = False
) -> None:
    """Print everything about the pictures of one source."""
    print(f"\n{name}: {len(scenes)} pictures")
    if lacks := make_up(scenes.values()):
        print(lacks)
    print()
    for quantity, unit in tool.UNITS.items():
        ways = [way for way in tool.WAYS if (way, quantity) in answers]
        if not ways:
            continue
        print(f"{quantity}, in {unit}")
        print(_HEAD)
        for way in ways:
            print(_line(way, summarise(answers[way, quantity]), tool.FACTORS[quantity]))
        if quantity == "covered":
            _print_shown(ways, answers, scenes)
            _print_verdicts(ways, answers)
            _print_strata(ways, answers, scenes)
        _print_causes(quantity, ways, answers)
        if each:
            _print_each(quantity, ways, answers)
        print()
    _print_targets(answers, scenes)


def cause(reason: str) -> str:
    """Return a refusal's reason without its advice and its numbers, so that alike ones group."""
    if reason.startswith("CRASH"):
        return reason
    return re.sub(r"[-+]?\d[\d.,]*", "#", reason.split(";", maxsplit=1)[0]).strip()


def _line(way: str, summary: Summary, factor: float) -> str:
    """Return one row of figures; '-' where there is none, "few" where p can tell nothing."""

    def figure(value: float | None, by: float = factor, decimals: int = 2) -> str:
        return "-" if value is None else f"{value * by:.{decimals}f}"

    hits = "-"
    if summary.hits is not None:
        hits = f"{summary.hits}/{summary.intervals} {summary.hits / summary.intervals:.1%}"
    few = summary.intervals and not can_be_missed(summary.intervals)
    p_value = "few" if few else figure(summary.hit_p_value, 1, 3)
    return (
        f"  {way:42}{f'{summary.answered}/{summary.asked}':>10}{figure(summary.median_error):>8}"
        f"{figure(summary.p90_error):>8}{figure(summary.worst_error):>8}{hits:>14}"
        f"{p_value:>7}{figure(summary.median_width):>8}"
        f"{figure(summary.mean_score):>8}"
    )


def _print_shown(ways: Sequence[str], answers: Answers, scenes: Mapping[str, Scene]) -> None:
    print("  of the pictures whose far rim shows at least 12 degrees; width: arc over 90 degrees")
    for way in ways:
        s = shown(answers[way, "covered"], scenes)
        wide = summarise([a for a in answers[way, "covered"] if wide_arc(scenes[a.name])])
        share = f" {s.answered / s.asked:.1%}" if s.asked else ""
        width = "-" if wide.median_width is None else f"{wide.median_width * 100:.2f}"
        print(f"  {way:42}answered {s.answered}/{s.asked}{share}; median width {width} points")


def _print_verdicts(ways: Sequence[str], answers: Answers) -> None:
    print(
        '  verdicts on "covered < 50 %"; clear: truth further from 50 % than the interval is wide'
    )
    for way in ways:
        s = summarise(answers[way, "covered"])
        if s.answered:
            print(
                f"  {way:42}wrong: {s.wrong_clear} of {s.clear} clear, {s.wrong_close} of"
                f" {s.close} close; too close to call: {s.too_close}"
            )


def _print_strata(ways: Sequence[str], answers: Answers, scenes: Mapping[str, Scene]) -> None:
    """Print each stratum's row for the ways that state an interval."""
    for way in ways:
        if summarise(answers[way, "covered"]).hits is None:
            continue
        print(f"  {way}, by stratum")
        for stratum, part in by_stratum(answers[way, "covered"], scenes).items():
            print(_line(f"  {stratum}", summarise(part), tool.FACTORS["covered"]))


def _print_causes(quantity: str, ways: Sequence[str], answers: Answers) -> None:
    for way in ways:
        causes = _causes(answers[way, quantity])
        # Said once, under the first quantity of this way, unless they differ.
        first = next(q for w, q in answers if w == way)
        if quantity != first and causes == _causes(answers[way, first]):
            continue
        for told, times in causes.most_common():
            print(f"  {way:42}{times} x no answer: {told}")


def _causes(answers: Sequence[Answer]) -> Counter[str]:
    return Counter(cause(a.reason) for a in answers if a.value is None)


def _print_each(quantity: str, ways: Sequence[str], answers: Answers) -> None:
    factor = tool.FACTORS[quantity]
    for way in ways:
        for a in answers[way, quantity]:
            if a.value is None:
                told = f"no answer: {a.reason}"
            else:
                told = f"{a.value * factor:8.2f} ({(a.value - a.truth) * factor:+.2f})"
                if a.low is not None and a.high is not None:
                    missed = "" if a.low <= a.truth <= a.high else "  MISSED"
                    told += f"  {a.low * factor:8.2f} .. {a.high * factor:.2f}{missed}"
                if quantity == "covered":
                    told += f"  {state(a)}{'  WRONG' if wrong(a) else ''}"
            print(f"    {way:42}{a.name:14}{a.truth * factor:8.2f} -> {told}")


def _print_targets(answers: Answers, scenes: Mapping[str, Scene]) -> None:
    found = list(targets(answers, scenes))
    few = [t for t in found if t.met is None and t.reached.endswith(TOO_FEW)]
    for title, wanted in (("targets met", True), ("targets NOT met", False)):
        rows = [t for t in found if t.met is wanted]
        print(f"{title}: {len(rows)} of {sum(t.met is not None for t in found)}")
        for target in rows:
            print(f"  {target.claim:84}{target.reached}")
    if few:
        print(f"{TOO_FEW}, and counted neither way: {len(few)}")
    for target in few:
        print(f"  {target.claim:84}{target.reached}")
