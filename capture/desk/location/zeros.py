"""What a gauge that reads a difference may have been zeroed to, the likeliest first. No Qt here."""

from typing import NamedTuple

from capture.desk.location.captions import name_of, when
from capture.desk.location.instead import source_words, sources_of
from capture.words.quantities import given_text
from store.evidence import Read, Zero
from store.plan import Gauge
from store.round import Check, Round

MOST = 5


class Size(NamedTuple):
    """A size that was read: the check's key, the same in words, and who said it."""

    key: str
    words: str
    about: str


def sizes_read(known: Round, check: Check, tool: Gauge | None) -> tuple[Size, ...]:
    """Return the lengths that were read, at most ``MOST``, as choices for a gauge's zero.

    First those that a value is worked out from together with this check, then those read with the
    gauge that the tool is set on by the register, then the latest.
    """
    there = [c for c in known.checks if c.key != check.key and _is_a_size(c)]
    mates = _mates(known, check)
    set_on = tool.set_on if tool is not None else ""
    there.sort(key=lambda c: (c.key in mates, bool(set_on) and _gauge(c) == set_on, _seq(c)),
               reverse=True)  # fmt: skip
    return tuple(_size(each, check) for each in there[:MOST])


def _is_a_size(check: Check) -> bool:
    return check.characteristic.kind == "length" and check.value is not None


def _mates(known: Round, check: Check) -> set[str]:
    made = [c.characteristic for c in known.checks if c.characteristic.is_worked_out]
    sources = [sources_of(each) for each in made]
    return {key for keys in sources if check.key in keys for key in keys}


def _gauge(check: Check) -> str:
    read = [a.record for a in (*check.readings, *check.attempts) if a.counts]
    return next((r.gauge for r in reversed(read) if isinstance(r, Read) and r.gauge), "")


def _seq(check: Check) -> int:
    return check.current.stamp.seq if check.current else 0


def _size(check: Check, asked: Check) -> Size:
    gauge = _gauge(check)
    at = when(check.current.stamp.at) if check.current else ""
    about = "; ".join(each for each in (check.key, f"with {gauge}" if gauge else "", at) if each)
    return Size(check.key, source_words(check, asked.location.id), about)


def zero_words(known: Round, zero: Zero, here: str) -> str:
    """Return what a gauge was zeroed to: a size as it was typed, or a check by name and its size.

    ``here`` is the location that it is said at.
    """
    found = next((check for check in known.checks if check.key == zero.words), None)
    if found is None:
        return zero.words or given_text(zero.size)
    return f"{name_of(found, here)} {given_text(zero.size)}"
