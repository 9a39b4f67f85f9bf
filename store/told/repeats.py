"""What a book's own marks say of marking: the same photo by one person again, and by several.

Each photo with marks placed by hand more than once, told the same lengths, is a level of an
experiment as in ISO 5725-2 (1994 and 2019; formulas from memory, section 7.4): the variance within
one person's marks is repeatability, that between persons comes to it for reproducibility. Levels
are pooled, each answer as a multiple of what its rims' points were taken to make uncertain, so that
a sharp large photo and a poor one tell the same ratio. A ratio of 1 is the prior, worth as much as
an uncertainty that is known to a quarter of itself: 8 degrees of freedom (JCGM 100:2008, G.4.2).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import fsum, hypot
from typing import NamedTuple

from annotate.beside import Beside, Repeats, Sight
from annotate.marks import Layer
from annotate.result import Known
from store.codec import Entry
from store.evidence import Marked
from store.told.telling import Telling

PRIOR_DOF = 8.0
_PLACED = {"near rim", "arc of the far rim"}  # budget lines of the rims that a hand places

# Of one photo: who -> answers, as multiples of what was taken.
Level = Mapping[str, Sequence[float]]


class Spread(NamedTuple):
    """Pooled over levels: variances and degrees of freedom, within persons and in all.

    ``within`` is the repeatability variance, 0 with 0 degrees of freedom where nobody marked
    twice; ``total`` the reproducibility variance, and ``dof`` its degrees of freedom.
    """

    within: float
    within_dof: float
    total: float
    dof: float


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
    if within_dof and mean_square <= repeatability:
        return Spread(repeatability, within_dof, repeatability, within_dof)
    # Within + (mean square - within) / each: a sum of two independent mean squares.
    part, rest = mean_square / each, (1 - 1 / each) * repeatability
    total = part + rest
    weights = part**2 / between_dof + (rest**2 / within_dof if within_dof else 0.0)
    dof = total**2 / weights if weights else between_dof + within_dof
    return Spread(repeatability, within_dof, total, dof)


def repeats_of(spread: Spread) -> Repeats:
    """Return the ratio that a spread and the prior make together.

    Variances are pooled by their degrees of freedom: the conjugate prior of a normal variance
    (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6, from memory).
    """
    dof = PRIOR_DOF + spread.dof
    return Repeats(ratio=((PRIOR_DOF + spread.dof * spread.total) / dof) ** 0.5, dof=dof)


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
