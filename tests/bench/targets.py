"""What the answers have to reach, and whether they do."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from scipy.stats import binomtest

from tests.bench.scenes import Scene
from tests.bench.score import LEVEL, Answer, Summary, summarise
from tests.bench.strata import answerable, in_order, strata_of, wide_arc

Answers = Mapping[tuple[str, str], Sequence[Answer]]
TOO_FEW = "too few to tell"
LEAST_P = 0.01  # of the exact binomial test that 95 % hit
CLICK, BARE = "one click, wall, bore", "one click, diameter"
HAND, BARE_HAND = "hand points, wall, bore", "hand points, diameter"


@dataclass(frozen=True)
class Target:
    """One thing to reach, what was reached, and whether that is enough (None: can't be told)."""

    claim: str
    reached: str
    met: bool | None


def targets(answers: Answers, scenes: Mapping[str, Scene]) -> Iterator[Target]:
    """Yield every target that these answers allow to be judged."""
    click = list(answers.get((CLICK, "covered"), ()))
    if click:
        yield _answered(CLICK, click, scenes, 0.9)
        yield from _errors(CLICK, click, median=0.010, p90=0.030)
        wide = summarise([a for a in click if wide_arc(scenes[a.name])]).median_width
        yield _most(f"{CLICK}: median width, arc over 90 deg", wide, 0.08)
        yield from _verdicts(CLICK, click)
    hand = list(answers.get((HAND, "covered"), ()))
    if hand:
        yield _answered(HAND, hand, scenes, 1.0)
        yield from _errors(HAND, hand, median=0.030)
    for way in (CLICK, BARE, HAND, BARE_HAND):
        yield from _hits(way, list(answers.get((way, "covered"), ())), scenes)
        for row in ("parallax, right", "parallax, down"):
            yield from _hit(f"{way}: {row}", list(answers.get((way, row), ())))
    yield from _flat_face(answers)


def by_stratum(answers: Sequence[Answer], scenes: Mapping[str, Scene]) -> dict[str, list[Answer]]:
    """Return the answers of every stratum that holds any, by kind and bounds."""
    found: dict[str, list[Answer]] = {}
    for answer in answers:
        for stratum in strata_of(scenes[answer.name]):
            found.setdefault(stratum, []).append(answer)
    return {stratum: found[stratum] for stratum in sorted(found, key=in_order)}


def shown(answers: Sequence[Answer], scenes: Mapping[str, Scene]) -> Summary:
    """Return the summary of the pictures that can be answered."""
    return summarise([a for a in answers if answerable(scenes[a.name])])


def _answered(
    way: str, answers: Sequence[Answer], scenes: Mapping[str, Scene], least: float
) -> Target:
    s = shown(answers, scenes)
    claim = f"{way}: answered where 12 deg of the far rim show >= {least:.0%}"
    return Target(
        claim, f"{s.answered}/{s.asked}", s.answered >= least * s.asked if s.asked else None
    )


def _errors(
    way: str, answers: Sequence[Answer], *, median: float, p90: float | None = None
) -> Iterator[Target]:
    s = summarise(answers)
    yield _most(f"{way}: median |error|", s.median_error, median)
    if p90 is not None:
        yield _most(f"{way}: 90th percentile of |error|", s.p90_error, p90)


def _most(claim: str, value: float | None, limit: float) -> Target:
    if value is None:
        return Target(f"{claim} <= {limit:g}", "no answer", None)
    return Target(f"{claim} <= {limit:g}", f"{value:.4f}", value <= limit)


def _hits(way: str, answers: Sequence[Answer], scenes: Mapping[str, Scene]) -> Iterator[Target]:
    yield from _hit(f"{way}: all", answers)
    for stratum, part in by_stratum(answers, scenes).items():
        yield from _hit(f"{way}: {stratum}", part)


def _hit(claim: str, answers: Sequence[Answer]) -> Iterator[Target]:
    s = summarise(answers)
    if s.hit_p_value is not None:
        told = f"{s.hits}/{s.intervals} hit, p {s.hit_p_value:.3f}"
        met = s.hit_p_value >= LEAST_P if can_be_missed(s.intervals) else None
        if met is None:
            told = f"{s.hits}/{s.intervals} hit, {TOO_FEW}"
        yield Target(f"{claim}: p of a 95 % hit rate >= {LEAST_P}", told, met)


def can_be_missed(intervals: int) -> bool:
    """Return whether so many intervals could show a hit rate to be wrong: by none that hits."""
    return float(binomtest(0, intervals, LEVEL).pvalue) < LEAST_P


def _verdicts(way: str, answers: Sequence[Answer]) -> Iterator[Target]:
    s = summarise(answers)
    yield Target(
        f"{way}: no wrong verdict where it is clear", f"{s.wrong_clear}/{s.clear}",
        s.wrong_clear == 0 if s.clear else None,
    )  # fmt: skip
    yield Target(
        f"{way}: at most 5 % wrong verdicts elsewhere", f"{s.wrong_close}/{s.close}",
        s.wrong_close <= 0.05 * s.close if s.close else None,
    )  # fmt: skip


def _flat_face(answers: Answers) -> Iterator[Target]:
    for quantity, claim, good in (
        ("hole diameter", "within 0.5 % or 0.05 mm", _diameter_is_good),
        ("centre distance", "within 0.10 mm", _distance_is_good),
    ):
        given = [a for a in answers.get(("measure", quantity), ()) if a.value is not None]
        if not given:
            continue
        share = sum(good(a) for a in given) / len(given)
        yield Target(
            f"measure: {quantity} {claim}, 90th percentile", f"{share:.1%} are", share >= 0.9
        )
        s = summarise(given)
        rate = (s.hits or 0) / max(s.intervals, 1)
        yield Target(
            f"measure: {quantity}: hit rate >= 0.93", f"{s.hits}/{s.intervals}", rate >= 0.93
        )


def _diameter_is_good(answer: Answer) -> bool:
    off = abs((answer.value or 0.0) - answer.truth)
    return off <= max(0.05, 0.005 * answer.truth)


def _distance_is_good(answer: Answer) -> bool:
    return abs((answer.value or 0.0) - answer.truth) <= 0.10
