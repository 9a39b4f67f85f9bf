"""What a book's own marks say of marking: the same photo by one person again, and by several.

Each photo with marks placed by hand more than once, told the same lengths, is a level of an
experiment as in ISO 5725-2 (1994 and 2019; formulas from memory, section 7.4): the variance within
one person's marks is repeatability, that between persons comes to it for reproducibility. Levels
are pooled, each answer as a multiple of what its rims' points were taken to make uncertain, so that
a sharp large photo and a poor one tell the same ratios.

A few marks tell little, so both variances are taken with what is known before (``repeats_of``).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import exp, fsum, hypot, log
from typing import NamedTuple

from annotate.beside import Beside, Repeats, Sight
from annotate.marks import Layer
from annotate.result import Known
from store.codec import Entry
from store.evidence import Marked
from store.told.telling import Telling

# One person's scatter, as a multiple of what was taken: log-normal about 1, by a factor of 2.7 at
# 95 % (hands and screens differ). What several people add: half of a t, for of few people a prior
# with a light tail would rule out much (Gelman, Bayesian Analysis 1 (2006) 515-533, from memory).
_LN_OWN, _PEOPLE, _PEOPLE_DOF = 0.5, 0.7, 4.0
_STEPS, _WIDEST, _MOST_PEOPLE = 40, 3.5, 8.0  # of the grid; standard deviations; multiples
_PLACED = {"near rim", "arc of the far rim"}  # budget lines of the rims that a hand places

# Of one photo: who -> answers, as multiples of what was taken.
Level = Mapping[str, Sequence[float]]


class Spread(NamedTuple):
    """Pooled over levels: variances and degrees of freedom, within persons and in all.

    ``within`` is the repeatability variance, 0 with 0 degrees of freedom where nobody marked
    twice; ``total`` the reproducibility variance, and ``dof`` its degrees of freedom. ``between``
    is the mean square between persons, ``between_dof`` its degrees of freedom, and ``each`` how
    many marks of one person it is made of, on average: it is expected to be the variance within
    plus ``each`` times what people add.
    """

    within: float
    within_dof: float
    total: float
    dof: float
    between: float = 0.0
    between_dof: float = 0.0
    each: float = 1.0


def spread_of(levels: Iterable[Level]) -> Spread | None:
    """Return the spread of answers pooled over levels; None where none has two answers.

    Analysis of variance of one random factor, the person, within each level. A negative variance
    between persons counts as none (ISO 5725-2).
    """
    within = between = spare = within_dof = between_dof = 0.0
    for level in levels:
        cells = [cell for cell in level.values() if cell]
        count = sum(map(len, cells))
        if count < 2:  # noqa: PLR2004 - one answer alone has no spread
            continue
        mean = fsum(answer for cell in cells for answer in cell) / count
        for cell in cells:
            middle = fsum(cell) / len(cell)
            within += fsum((answer - middle) ** 2 for answer in cell)
            between += len(cell) * (middle - mean) ** 2
        within_dof += count - len(cells)
        between_dof += len(cells) - 1
        spare += count - sum(len(cell) ** 2 for cell in cells) / count
    if within_dof + between_dof == 0:
        return None
    repeatability = within / within_dof if within_dof else 0.0
    if between_dof == 0:
        return Spread(repeatability, within_dof, repeatability, within_dof)
    mean_square, each = between / between_dof, spare / between_dof
    people = mean_square, between_dof, each
    if within_dof and mean_square <= repeatability:
        return Spread(repeatability, within_dof, repeatability, within_dof, *people)
    # Within + (mean square - within) / each: a sum of two independent mean squares.
    part, rest = mean_square / each, (1 - 1 / each) * repeatability
    total = part + rest
    weights = part**2 / between_dof + (rest**2 / within_dof if within_dof else 0.0)
    dof = total**2 / weights if weights else between_dof + within_dof
    return Spread(repeatability, within_dof, total, dof, *people)


def repeats_of(spread: Spread) -> Repeats:
    """Return what a spread and what is known before tell of one person's marks and of several's.

    Bayes's rule on a grid of the two standard deviations: mean squares are chi square about what
    they are expected to be (Gelman et al., Bayesian Data Analysis, 3rd ed., 5.4, from memory). With
    few marks the answer stays near what was taken; with one person only, what several people add is
    not told.
    """
    several = spread.between_dof > 0
    # The middles of steps, so that none at all weighs no more than its share.
    width = _MOST_PEOPLE / _STEPS
    adds = [((j + 0.5) * width) ** 2 for j in range(_STEPS)] if several else [0.0]
    weights: list[tuple[float, float, float]] = []
    for i in range(_STEPS + 1):
        away = _WIDEST * (2 * i / _STEPS - 1)
        own = exp(2 * _LN_OWN * away)  # a variance, as all below
        ln = -(away**2) / 2 - _misfit(spread.within, own, spread.within_dof)
        for added in adds:
            before = (_PEOPLE_DOF + 1) / 2 * log(1 + added / _PEOPLE**2 / _PEOPLE_DOF)
            seen = _misfit(spread.between, own + spread.each * added, spread.between_dof)
            weights.append((ln - before - seen, own, added))
    most = max(ln for ln, _, _ in weights)
    known = [(exp(ln - most), own, added) for ln, own, added in weights]
    ratio, dof = _as_t((weight, own + added) for weight, own, added in known)
    own_ratio, own_dof = _as_t((weight, own) for weight, own, _ in known)
    if not several:
        return Repeats(ratio, dof, own_ratio, own_dof)
    return Repeats(
        ratio, dof, own_ratio, own_dof, *_as_t((weight, added) for weight, _, added in known)
    )


def _misfit(mean_square: float, expected: float, dof: float) -> float:
    """Return minus the log likelihood of a mean square, up to a constant."""
    return dof / 2 * (log(expected) + mean_square / expected)


def _as_t(variances: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Return the scale and degrees of freedom of the t that weighted variances make of a normal.

    An inverse chi square of their mean m and variance v: dof = 4 + 2 m^2 / v.
    """
    all_of = list(variances)
    whole = fsum(weight for weight, _ in all_of)
    mean = fsum(weight * value for weight, value in all_of) / whole
    spread = fsum(weight * (value - mean) ** 2 for weight, value in all_of) / whole
    dof = 4 + 2 * mean**2 / spread
    return (mean * (dof - 2) / dof) ** 0.5, dof


def repeats_at(told: Telling, upto: int) -> tuple[Repeats | None, tuple[str, ...]]:
    """Return what the marks of a book say of marking at a moment, and the entries that say it.

    None, and no entries, while no photo was marked by hand twice. Marks that a later rework made
    void count: they say nothing of the hole now, and the same of the hand.
    """
    levels: defaultdict[str, list[Entry]] = defaultdict(list)
    for entries in told.marks.values():
        for entry in told.standing_of(entries, upto):
            if isinstance(entry.evidence, Marked) and _taken(entry.evidence) > 0:
                levels[_level(entry.evidence)].append(entry)
    several = [level for level in levels.values() if len(level) > 1]
    spread = spread_of(_answers(level) for level in several)
    if spread is None:
        return None, ()
    cited = sorted((told.by_hash[entry.hash][0], entry.hash) for each in several for entry in each)
    return repeats_of(spread), tuple(digest for _, digest in cited)


def repeats_for(told: Telling, layer: Layer, upto: int) -> tuple[Repeats | None, tuple[str, ...]]:
    """Return what repeats say of marks that a hand placed; of found ones nothing."""
    return repeats_at(told, upto) if by_hand(layer) else (None, ())


def beside_of(told: Telling, together: tuple[str, ...], repeats: Repeats | None) -> Beside | None:
    """Return what counts beside marks that cite others; None where a cited one is not there."""
    others = []
    for cited in together:
        other = told.by_hash[cited][1].evidence if cited in told.by_hash else None
        if not isinstance(other, Marked):
            return None
        others.append(Sight(other.layer, other.lens))
    return Beside(tuple(others), repeats)


def by_hand(layer: Layer) -> bool:
    """Return whether a hand placed the rims, so that marking them again may give another answer."""
    rims = layer.rim("near"), layer.rim("far")
    return all(rim is not None and rim.placed == "hand" for rim in rims)


def _taken(marked: Marked) -> float:
    """Return what the placed points were taken to make uncertain, in points; 0 if not known."""
    if not by_hand(marked.layer) or marked.together or not isinstance(marked.result.covered, Known):
        return 0.0
    return hypot(*(line.points for line in marked.result.budget if line.source in _PLACED))


def _level(marked: Marked) -> str:
    """Return what must be alike for two marks to be repeats of each other."""
    told = (marked.givens, marked.lens, marked.layer.focal_35mm)
    return f"{marked.key} {marked.photo} {told!r}"


def _answers(level: Sequence[Entry]) -> Level:
    """Return the answers of each person, as multiples of what was taken for this photo."""
    marks = [entry.evidence for entry in level if isinstance(entry.evidence, Marked)]
    taken = (fsum(_taken(marked) ** 2 for marked in marks) / len(marks)) ** 0.5 / 100
    answers: defaultdict[str, list[float]] = defaultdict(list)
    for entry, marked in zip(level, marks, strict=True):
        if isinstance(marked.result.covered, Known):
            who = " ".join(entry.by.split()).casefold()
            answers[who].append(marked.result.covered.quantity.value / taken)
    return answers
