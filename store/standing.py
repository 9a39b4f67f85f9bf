"""Entries -> Round: where every check and hold point of a job stands."""

from collections.abc import Iterable

from store.codec import Entry
from store.round import Round


def standing(entries: Iterable[Entry]) -> Round:
    """Return the state of the job that these entries tell, in order of arrival.

    A pure function. Raises Damaged if the first entry is not the plan.
    """
    raise NotImplementedError
