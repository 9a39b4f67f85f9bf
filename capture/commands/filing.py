"""Typed readings of one check -> filed one after the other, asked about where one looks wrong."""

import argparse
from typing import TYPE_CHECKING, NamedTuple

from capture.commands.books import opened
from capture.commands.edge import ask, warn
from capture.commands.filed_photos import photo_meant
from capture.commands.filed_readings import Filed
from capture.commands.gauge_register import gauge_notes, refuse_a_day_to_come
from capture.commands.typed_reading import read_doubt, read_temperature, spots_in_turn
from capture.edge import Edge
from capture.errors import SlipSuspected, WrongUse
from capture.readings import read_of
from capture.words.checks import spot_text
from store.characteristic import Characteristic, Doubt, Spot
from store.evidence import Zero

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
        today = edge.clock()[:10]
        refuse_a_day_to_come("read_at", given.read_at, today)
        noted = gauge_notes(journey.plan, check, given.gauge, today)
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
    if check.is_grid:
        told = journey.book.told
        missing = [s for s in check.spots if told.spot_reading(given.check, s, told.now) is None]
        return spots_in_turn(check, given.check, missing, given.spot or "", many)
    if given.spot:
        raise WrongUse(f"{given.check} is read once and has no spots: leave --spot out")
    if many > 1:
        raise WrongUse(f"{given.check} takes one reading, and {many} were typed: type one")
    return [Spot()]


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
