"""A second person's blind marks, compared with the first's."""

from store.agree import blind_agreement
from store.attempt import Attempt, Second
from store.codec import Entry
from store.errors import CannotDerive
from store.evidence import Marked
from store.told.telling import Telling


def seconds_of(told: Telling, entry: Entry, attempt: Attempt) -> Second:
    """Return blind second marks with the En number against those they are second to."""
    second = entry.evidence
    cited = second.second_to if isinstance(second, Marked) else ""
    first = told.by_hash[cited][1].evidence if cited in told.by_hash else None
    if not (isinstance(first, Marked) and isinstance(second, Marked)):
        return Second(attempt, cited, why="the first marks are not there")
    if told.struck_by(cited, told.now):
        return Second(attempt, cited, why="the first marks were struck")
    try:
        return Second(attempt, cited, en=blind_agreement(first.result, second.result).en)
    except CannotDerive as refused:
        return Second(attempt, cited, why=str(refused))
