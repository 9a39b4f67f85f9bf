"""Typed readings of one check -> filed one after the other, and what was said to them."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from capture.commands.books import (
    check_answer,
    check_line,
    grid_count,
    opened,
    spot_answer,
    spot_text,
)
from capture.commands.edge import Edge, ask, say, say_json, warn
from capture.commands.exits import DONE, OF_STATE, SEVERITY
from capture.commands.filed_photos import photo_meant
from capture.commands.typed_reading import (
    next_of,
    read_doubt,
    read_temperature,
    spot_typed,
    spots_named,
)
from capture.errors import SlipSuspected, WrongUse
from capture.readings import read_of
from store.evidence import Read, Zero
from store.plan import ANSWERED_IN_WORDS, Characteristic, Doubt, Spot
from store.suspicion import chain_of

if TYPE_CHECKING:
    from capture.journey import Journey
    from store.round import Check


class Beside(NamedTuple):
    """What was typed beside the readings, read."""

    gauge: str
    read_at: str
    zero: Zero | None
    doubts: tuple[Doubt, ...]
    part_c: float | None
    gauge_c: float | None
    photos: tuple[str, ...]


class Filed(NamedTuple):
    """The readings filed, (spot, text) each; the check after them and what follows from it."""

    filed: tuple[tuple[Spot, str], ...]
    check: "Check"
    following: tuple["Check", ...]
    noted: tuple[str, ...]


def file_readings(given: argparse.Namespace, edge: Edge) -> Filed:
    """File the texts in the order of the grid; every one is read before the first is kept.

    Raises SlipSuspected where a reading looks like a slip and nobody says that it stands; those
    before it are then filed, and said.
    """
    with opened(given.book, edge) as journey:
        check = journey.plan.characteristic(given.check)[1]
        beside = _beside(given, journey, check)
        spots = _spots(given, journey, check)
        for spot, text in zip(spots, given.texts, strict=True):
            read_of(journey.plan, given.check, text, spot=spot, **beside._asdict())
        noted = (*_gauge_notes(given, edge, journey, check), *_no_gauge(given, journey, check))
        filed: list[tuple[Spot, str]] = []
        for spot, text in zip(spots, given.texts, strict=True):
            try:
                done, kept = _file_one(given, journey, spot, text, beside)
            except SlipSuspected:
                _say_before(filed)
                raise
            filed.append((spot, kept))
        hints = (*journey.fit_hints(done.key), *noted)
        return Filed(tuple(filed), done, journey.following(done.key), hints)


def say_filed(done: Filed, *, as_json: bool) -> int:
    """Say what became of the check, and return the exit code of the worst verdict."""
    for warning in _warnings(done):
        warn(warning)
    if as_json:
        say_json(_answer(done))
    else:
        for line in _lines(done):
            say(line)
    judged = [OF_STATE[check.state] for check in done.following]
    # A grid that still waits for readings is not a failure to read.
    judged.append(DONE if done.check.missing else OF_STATE[done.check.state])
    return max(judged, key=SEVERITY.index)


def _beside(given: argparse.Namespace, journey: "Journey", check: Characteristic) -> Beside:
    _refuse_no_zero(given, journey, check)
    comma = journey.plan.job.decimal_comma
    location = given.check.partition(".")[0]
    part = given.part_temp and read_temperature(given.part_temp, "--part-temp")
    gauge = given.gauge_temp and read_temperature(given.gauge_temp, "--gauge-temp")
    return Beside(
        gauge=given.gauge,
        read_at=given.read_at,
        zero=journey.zero_on(given.zero) if given.zero else None,
        doubts=tuple(read_doubt(text, check.unit, decimal_comma=comma) for text in given.doubt),
        # One temperature is enough where part and gauge lay together.
        part_c=gauge if part is None else part,
        gauge_c=part if gauge is None else gauge,
        photos=tuple(photo_meant(journey, text, location=location) for text in given.photo),
    )


def _refuse_no_zero(given: argparse.Namespace, journey: "Journey", check: Characteristic) -> None:
    """Refuse a difference gauge without --zero, naming the option."""
    used = given.gauge or check.gauge
    if used and journey.plan.gauge(used).difference and not given.zero:
        raise WrongUse(
            f"{used} reads a difference: say what it was zeroed to, as --zero LOCATION.CHECK (a "
            'reading) or --zero "58.35 mm" (a setting)'
        )


def _spots(given: argparse.Namespace, journey: "Journey", check: Characteristic) -> list[Spot]:
    """Return where the texts go; raises WrongUse for more texts than there are spots for."""
    many = len(given.texts)
    if not check.is_grid:
        if given.spot:
            raise WrongUse(f"{given.check} is read once and has no spots: leave --spot out")
        if many > 1:
            raise WrongUse(f"{given.check} takes one reading, and {many} were typed: type one")
        return [Spot()]
    told = journey.book.told
    missing = [s for s in check.spots if told.spot_reading(given.check, s, told.now) is None]
    if given.spot:
        first = next_of(check, spots_named(check, given.spot), missing, given.spot)
        # From there on, in the grid's order; what is there already is not read again unasked.
        later = check.spots[check.spots.index(first) + 1 :]
        free = [first, *(spot for spot in later if spot in missing)]
    else:
        free = missing
    if not free:
        raise WrongUse(
            f"all {len(check.spots)} readings of {given.check} are there: to read one again say "
            f'which, as --spot "{spot_typed(check, check.spots[0])}"'
        )
    if many > len(free):
        raise WrongUse(
            f"{many} readings were typed, and {given.check} waits for {len(free)}: "
            f"{'; '.join(spot_text(spot) for spot in free)}"
        )
    return free[:many]


def _gauge_notes(
    given: argparse.Namespace, edge: Edge, journey: "Journey", check: Characteristic
) -> Iterator[str]:
    """Yield a warning for each gauge that the readings rest on and that is past its check."""
    today = edge.clock()[:10]
    for gauge_id in chain_of(journey.plan, given.gauge or check.gauge):
        due = next((g.due for g in journey.plan.gauges if g.id == gauge_id), "")
        if due and due < today:
            yield (
                f"gauge {gauge_id} was due for a check on {due}: check it, then enter it with "
                f"'benchproof gauge {given.book} {gauge_id} set --last-check DATE --due DATE'"
            )


def _no_gauge(
    given: argparse.Namespace, journey: "Journey", check: Characteristic
) -> Iterator[str]:
    """Yield a note where a number rests on no gauge although the job has a register of them."""
    named = given.gauge or check.gauge or not journey.plan.gauges
    if not named and check.kind not in {*ANSWERED_IN_WORDS, "count", "pin"}:
        yield "no gauge was named, so that its error is not counted: say which with --gauge ID"


def _file_one(
    given: argparse.Namespace, journey: "Journey", spot: Spot, text: str, beside: Beside
) -> tuple["Check", str]:
    """File one reading, asking about a slip where somebody sits there; return the text kept."""
    stands = given.stands
    while True:
        try:
            done = journey.reading(given.check, text, spot=spot, stands=stands, **beside._asdict())
        except SlipSuspected as refused:
            answer = _ask_about(refused)
            if answer is None:
                raise
            if not answer:
                journey.withdraw(refused, "left")
                raise
            word, _, rest = answer.partition(" ")
            if word.strip(":,").casefold() == "stands":
                stands = rest.strip() or "looked again"
                continue
            journey.withdraw(refused, f"typed again as {answer!r}")
            text, stands = answer, None
        else:
            return done, text


def _ask_about(refused: SlipSuspected) -> str | None:
    """Return what was typed to the question about a slip; None where nobody can be asked."""
    return ask(
        f"{refused.key} {refused.text.strip()!r}: {'; '.join(refused.suspected)} Look again, then "
        "type 'stands' if it is so, or the reading again (Return alone: not filed):"
    )


def _say_before(filed: list[tuple[Spot, str]]) -> None:
    for spot, text in filed:
        warn(f"filed before it: {spot_text(spot)}: {text}")


def _warnings(done: Filed) -> Iterator[str]:
    check = done.check
    taken = check.readings if check.characteristic.is_grid else check.attempts
    texts = {text for _, text in done.filed}
    assumed = [
        attempt.record.text
        for attempt in taken[-len(done.filed) :]
        if isinstance(attempt.record, Read)
        and attempt.record.took_a_unit
        and attempt.record.text in texts
    ]
    unit = check.characteristic.unit
    if len(assumed) == 1:
        yield f"unit assumed: {assumed[0]!r} was taken as {unit}"
    elif assumed:
        yield f"unit assumed: {len(assumed)} readings were taken as {unit}"
    yield from done.noted


def _lines(done: Filed) -> Iterator[str]:
    check = done.check
    if check.characteristic.is_grid:
        for spot, text in done.filed:
            yield f"{check.key} {spot_text(spot)}: {' '.join(text.split())}"
        if check.missing:
            yield f"{check.key}: {grid_count(check)}, next: {spot_text(check.missing[0])}"
    if not check.missing:
        yield check_line(check)
    for other in done.following:
        yield f"from it  {check_line(other)}"
    if check.characteristic.caution:
        yield f"caution: {check.characteristic.caution}"


def _answer(done: Filed) -> dict[str, object]:
    check = done.check
    return {
        **check_answer(check),
        "filed": [{"text": text, "spot": spot_answer(spot)} for spot, text in done.filed],
        "next": spot_answer(check.missing[0]) if check.missing else None,
        "following": [check_answer(other) for other in done.following],
        "warnings": list(_warnings(done)),
    }
