"""What marking a photo again showed: points scatter more than was taken, and how sure that is.

How well rims are placed is first taken from what is ordinary (``rim_noise``). Where the same photo
was marked several times the spread of the answers tells it, as a ratio to what was taken (Birge's
ratio: Physical Review 40 (1932) 207-227, from memory): of one person's marks, and of what several
people add to it. What comes to more than was taken widens every answer, by a line for each of the
two; less narrows none, for repeats say nothing of what is off alike each time.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from annotate.beside import Repeats
from annotate.sight.priors import ARC, NEAR_RIM

Array = npt.NDArray[np.float64]
MARKING = "marking again by one person, by this book's repeats"
PEOPLE = "marking by several people, by this book's repeats"
PLACED = (NEAR_RIM, ARC)  # the rims a hand places


class Excess(NamedTuple):
    """A line that repeats add: its name, its spread as a part of what was taken, and its dof."""

    source: str
    size: float
    dof: float


def excesses(repeats: Repeats | None) -> Iterator[Excess]:
    """Yield what of repeated marks is more than was taken: of one person, then of several."""
    if repeats is None:
        return
    own = repeats.own_excess
    if own > 0:
        yield Excess(MARKING, own, repeats.own_dof or repeats.dof)
    if repeats.people_excess > 0:
        yield Excess(PEOPLE, repeats.people_excess, repeats.people_dof or repeats.dof)


def spread_by(
    repeats: Repeats | None, q: Array, carry: Array, sources: Sequence[str], seed: int
) -> Iterator[Array]:
    """Yield samples q (N, P), moved by what repeated marks would move them, one excess on another.

    ``carry`` (P, M) is what one standard deviation of each residual does to the unknowns. Drawn
    from Student's t with the repeats' degrees of freedom (JCGM 101:2008, 6.4.9).
    """
    placed = np.flatnonzero(np.isin(sources, PLACED))
    # Another stream than the samples' own, or the two would be drawn alike.
    rng = np.random.default_rng([seed, 1])
    for each in excesses(repeats):
        size = each.size * np.sqrt(each.dof / rng.chisquare(each.dof, len(q)))
        error = rng.standard_normal((len(q), len(placed)))
        q = np.asarray(q + size[:, None] * (error @ carry[:, placed].T))
        yield q
