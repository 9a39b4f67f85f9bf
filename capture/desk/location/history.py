"""The history of one check, the newest first; what was struck stays legible."""

from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from capture.desk.location.captions import spot_words, who_when
from capture.desk.marking.sight_words import sight_words, together_words
from capture.words.checks import value_text
from store.attempt import Stamp
from store.branches.clashes import Clash
from store.branches.merges import MergeTold
from store.characteristic import Spot
from store.evidence import Marked, Read, SlipAsked
from store.round import Attempt, Check, Place, Second, Waived
from store.stock import Told

# A result warns of it too: it is said once, with what it does to the number.
_EITHER_WAY = "the picture does not settle which way the camera leans"


class Line(NamedTuple):
    """One thing that happened. ``entry`` can be struck; it is empty where nothing can.

    ``crossed`` says that one line goes through ``said``.
    """

    seq: int
    head: str
    said: str
    note: str
    entry: str = ""
    crossed: bool = False


def history_of(
    check: Check, place: Place | None, merges: Iterable[MergeTold] = ()
) -> tuple[Line, ...]:
    """Return everything that happened to a check, the newest first."""
    lines = [(a.stamp, _attempt_line(check, a)) for a in (*check.attempts, *check.readings)]
    lines += [(second.attempt.stamp, _second_line(check, second)) for second in check.seconds]
    lines += [(told.stamp, _slip_line(check, told)) for told in check.slips]
    lines += [(waived.stamp, _waiver_line(waived)) for waived in check.waivers]
    lines += [(_stamp_of(merge), _conflict_line(merge, clash)) for merge in merges
              for clash in merge.clashes if clash.of == check.key]  # fmt: skip
    if place is not None:
        lines += [
            (stamp, Line(stamp.seq, "worked on", what, who_when(stamp)))
            for stamp, what in place.reworked
        ]
    return _newest_first(lines)


def _newest_first(lines: list[tuple[Stamp, Line]]) -> tuple[Line, ...]:
    """Return the lines of one bench by their numbers; those of several by their clocks.

    A number counts in one chain only. Clocks are a claim, and what people go by.
    """
    one = len({stamp.bench for stamp, _ in lines}) <= 1

    def moment(line: tuple[Stamp, Line]) -> tuple[float, int]:
        stamp = line[0]
        return (0.0 if one else _seconds(stamp.at)), stamp.seq

    return tuple(line for _, line in sorted(lines, key=moment, reverse=True))


def _seconds(at: str) -> float:
    """Return a time as seconds; another bench's text that is no time comes before all."""
    try:
        return datetime.fromisoformat(at).timestamp()
    except (ValueError, OverflowError, OSError):
        return float("-inf")


def _attempt_line(check: Check, attempt: Attempt) -> Line:
    spot = attempt.record.spot if isinstance(attempt.record, Read) else Spot()
    where = f", {spot_words(check.characteristic, spot)}" if spot != Spot() else ""
    notes = [who_when(attempt.stamp)]
    if attempt.struck is not None:
        notes.append(f"struck {who_when(attempt.struck.stamp)}: {attempt.struck.reason}")
    elif attempt.void:
        notes.append(f"no longer counts: {attempt.void}")
    elif attempt.verdict is not None or attempt.answer is not None:
        notes.insert(0, attempt.state)
    if attempt.counts and not _is_counted(check, attempt):
        marks = "marks" if attempt.photo else "reading"
        notes.insert(0, f"replaced by the later {marks}, no longer counts")
    notes += [attempt.suspect] if attempt.suspect else []
    notes += _told_with(attempt)
    typed = isinstance(attempt.record, Read) or bool(attempt.photo)
    return Line(
        seq=attempt.stamp.seq,
        head=f"{attempt.name}{where}",
        said=said_of(check, attempt),
        note="; ".join(notes),
        entry=attempt.stamp.entry if typed and attempt.struck is None else "",
        crossed=attempt.struck is not None,
    )


def said_of(check: Check, attempt: Attempt) -> str:
    """Return a value as it was given; an answer as "yes" or "no" however it was typed."""
    if attempt.answer is not None:
        return "yes" if attempt.answer else "no"
    return value_text(check, attempt)


def _is_counted(check: Check, attempt: Attempt) -> bool:
    """Tell whether it is the attempt that counts, or the reading that counts at its spot."""
    entry = attempt.stamp.entry
    counted = (check.current, *check.cells.values())
    return any(each is not None and each.stamp.entry == entry for each in counted)


def _told_with(attempt: Attempt) -> list[str]:
    record = attempt.record
    if isinstance(record, Marked):
        return [f"{words}." for words in [together_words(record)] if words] + looked_words(record)
    if not isinstance(record, Read):
        return []
    notes = [f"with {record.gauge}"] if record.gauge else []
    notes += [f"read {record.read_at}"] if record.read_at else []
    notes += [f"doubt: {doubt.what}" for doubt in record.doubts]
    if record.part_c is not None and record.gauge_c is not None:
        notes.append(f"part {record.part_c:g} \u00b0C, gauge {record.gauge_c:g} \u00b0C")
    return notes


def looked_words(marked: Marked) -> list[str]:
    """Return how slantwise the camera looked, what that did, and every other warning."""
    # What to do about it was said before the marks were filed; here stands what was so.
    lean = sight_words(marked.result).partition(". ")[0].removesuffix(".")
    told = "side can't be told" in lean
    warnings = [w for w in marked.result.warnings if not (told and w.startswith(_EITHER_WAY))]
    return [f"{words}." for words in (lean, *warnings) if words]


def _second_line(check: Check, second: Second) -> Line:
    stamp = second.attempt.stamp
    agree = second.why or "cannot be compared"
    if second.en is not None:
        agree = f"En {second.en:.2f}, {'the two agree' if second.en <= 1 else 'they do NOT agree'}"
    return Line(
        stamp.seq, "blind second marks", value_text(check, second.attempt),
        f"{agree}; {who_when(stamp)}",
        stamp.entry if second.attempt.struck is None else "",
        second.attempt.struck is not None,
    )  # fmt: skip


def _slip_line(check: Check, told: Told) -> Line:
    asked = told.record
    assert isinstance(asked, SlipAsked)  # noqa: S101 - the store keeps nothing else there
    spot = f", {spot_words(check.characteristic, asked.spot)}" if asked.spot != Spot() else ""
    answer = "kept as it is" if asked.answer == "stands" else "not filed"
    words = f" ({asked.words})" if asked.words else ""
    return Line(
        told.stamp.seq, f"asked about{spot}", asked.text.strip(),
        f"{'; '.join(asked.suspected)} {answer}{words}; {who_when(told.stamp)}",
    )  # fmt: skip


def _waiver_line(waived: Waived) -> Line:
    agreed = f"owner: {waived.owner_agreed}" if waived.owner_agreed else "owner not asked"
    stands = "" if waived.stands else "; no longer stands"
    return Line(
        waived.stamp.seq, f"waived at {waived.hold_point}", f"{waived.state}: {waived.reason}",
        f"{waived.decided_by}, {agreed}; {who_when(waived.stamp)}{stands}",
        waived.stamp.entry if waived.struck is None else "", waived.struck is not None,
    )  # fmt: skip


def _conflict_line(merge: MergeTold, clash: Clash) -> Line:
    stamp = _stamp_of(merge)
    return Line(stamp.seq, "conflict of merging", clash.words, f"merged {who_when(stamp)}")


def _stamp_of(merge: MergeTold) -> Stamp:
    entry = merge.entry
    return Stamp(entry.hash, entry.seq, entry.at, entry.bench, entry.by)
