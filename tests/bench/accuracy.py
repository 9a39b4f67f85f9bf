"""The tool against pictures with a known answer, beside a drawing program's answer.

Every way of asking is tried on every picture. A refusal is counted with its reason; a crash is a
row of its own and never hides. Nothing of the answer is shown to the tool (see scenes.py).
"""

import multiprocessing
import os
import sys
from collections import defaultdict
from pathlib import Path

from tests.bench import tool
from tests.bench.scenes import Scene, scene_groups
from tests.bench.score import Answer, Summary, state, summarise, wrong


def asked(scene: Scene) -> list[tool.Asked]:
    """Return every answer for one picture; runs in a child process."""
    return [tool.flat_face(scene)] if scene.kind == "flat_face" else tool.oil_hole(scene)


def print_accuracy(folder: Path, *, each: bool = False, processes: int = 2) -> None:
    """Print one table for the folder and one for each sub-folder that holds scenes."""
    groups = list(scene_groups(folder))
    if not groups:
        sys.exit(f"no NAME.jpg with its NAME.json in {folder}")
    # Each process has a picture of its own: threads of numpy's inside would only queue.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        for name, scenes in groups:
            answers: dict[tuple[str, str], list[Answer]] = defaultdict(list)
            for done, ways in enumerate(pool.imap(asked, scenes), 1):
                if sys.stderr.isatty():
                    print(f"\r{name} {done}/{len(scenes)}", end="", file=sys.stderr, flush=True)
                for way in ways:
                    for quantity, answer in way.answers:
                        answers[way.way, quantity].append(answer)
            _print_group(name, len(scenes), answers, each=each)


def _print_group(
    name: str, count: int, answers: dict[tuple[str, str], list[Answer]], *, each: bool
) -> None:
    print(f"\n{name}: {count} pictures\n")
    for quantity, unit in tool.UNITS.items():
        # Some ways are not asked of every picture: keep one order whatever came first.
        ways = [way for way in tool.WAYS if (way, quantity) in answers]
        if not ways:
            continue
        print(f"{quantity}, in {unit}")
        print(HEAD)
        for way in ways:
            print(_line(way, summarise(answers[way, quantity]), tool.FACTORS[quantity]))
        if quantity == "covered":
            _print_verdicts(ways, answers)
        _print_reasons(quantity, ways, answers)
        if each:
            _print_each(quantity, ways, answers)
        print()


HEAD = (
    f"  {'way of asking':42}{'answered':>10}{'median':>8}{'90 %':>8}{'worst':>8}"
    f"{'hit rate':>14}{'p':>7}{'width':>8}{'score':>8}"
)


def _line(way: str, summary: Summary, factor: float) -> str:
    """Return one row of figures; '-' where there is none."""

    def figure(value: float | None, by: float = factor, decimals: int = 2) -> str:
        return "-" if value is None else f"{value * by:.{decimals}f}"

    hits = "-"
    if summary.hits is not None:
        hits = f"{summary.hits}/{summary.intervals} {summary.hits / summary.intervals:.1%}"
    return (
        f"  {way:42}{f'{summary.answered}/{summary.asked}':>10}{figure(summary.median_error):>8}"
        f"{figure(summary.p90_error):>8}{figure(summary.worst_error):>8}{hits:>14}"
        f"{figure(summary.hit_p_value, 1):>7}{figure(summary.median_width):>8}"
        f"{figure(summary.mean_score):>8}"
    )


def _print_verdicts(ways: list[str], answers: dict[tuple[str, str], list[Answer]]) -> None:
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


def _print_reasons(
    quantity: str, ways: list[str], answers: dict[tuple[str, str], list[Answer]]
) -> None:
    for way in ways:
        reasons = summarise(answers[way, quantity]).reasons
        # Said once, under the first quantity of this way, unless they differ.
        first = next(q for w, q in answers if w == way)
        if quantity != first and reasons == summarise(answers[way, first]).reasons:
            continue
        for reason, times in reasons.items():
            print(f"  {way:42}{times} x no answer: {reason}")


def _print_each(
    quantity: str, ways: list[str], answers: dict[tuple[str, str], list[Answer]]
) -> None:
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
