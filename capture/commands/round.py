"""benchproof round: where every check and hold point stands."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from capture.commands.typed_options import add_json

if TYPE_CHECKING:
    from capture.commands.edge import Edge
    from store.round import Check, Hold, Place, Round

EXAMPLES = """  benchproof round job-12
  benchproof round job-12 --json"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    from pathlib import Path  # noqa: PLC0415 - beside its use

    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """Print the round."""
    from capture.commands.books import opened  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json  # noqa: PLC0415 - the same
    from capture.commands.exits import DONE  # noqa: PLC0415 - the same

    with opened(given.book, edge, read_only=True) as journey:
        walked = journey.round()
    if given.json:
        say_json(round_answer(walked))
    else:
        for line in round_lines(walked):
            say(line)
    return DONE


def round_lines(walked: "Round") -> Iterator[str]:
    """Yield the round for a person: locations in walking order, then hold points."""
    job = walked.job
    yield f"job {job.number}: {job.engine}, for {job.customer}, at {job.shop}"
    for place in walked.places:
        yield ""
        yield from _place_lines(place)
    if walked.holds:
        yield ""
    for hold in walked.holds:
        yield from _hold_lines(hold)
    yield ""
    tally = walked.tally()
    yield ", ".join(f"{count} {state}" for state, count in tally.items() if count)


def _place_lines(place: "Place") -> Iterator[str]:
    from capture.commands.books import value_text  # noqa: PLC0415 - beside its use

    photos = [photo for photo in place.photos if photo.struck is None]
    many = f"{len(photos)} photo{'' if len(photos) == 1 else 's'}"
    yield f"{place.location.id}  {place.location.name}  ({many})"
    for check in place.checks:
        value = value_text(check, check.current) if check.current else ""
        yield f"  {check.state:<18} {check.characteristic.id:<14} {value}{_limit(check)}".rstrip()
        if check.why:
            yield f"  {'':<18} {check.why}"
        for attempt in check.attempts:
            if attempt.struck:
                yield (
                    f"  {'':<18} struck: entry {attempt.stamp.seq}, {value_text(check, attempt)} "
                    f"({attempt.struck.reason})"
                )
            elif attempt.counts and attempt is not check.current:
                yield (
                    f"  {'':<18} before: entry {attempt.stamp.seq}, {value_text(check, attempt)}, "
                    f"{attempt.state}"
                )
            elif attempt.void:
                yield f"  {'':<18} void: entry {attempt.stamp.seq}, {attempt.void}"
        for waiver in check.waivers:
            if waiver.stands:
                yield (
                    f"  {'':<18} waived by {waiver.decided_by}: {waiver.reason}; "
                    f"owner: {waiver.owner_agreed}"
                )


def _limit(check: "Check") -> str:
    from capture.commands.wording import limit_text  # noqa: PLC0415 - beside its use

    limit = check.characteristic.limit
    return f"  [{limit_text(limit)}: {limit.source}]" if limit else ""


def _hold_lines(hold: "Hold") -> Iterator[str]:
    tried = f", refused {len(hold.refusals)} x" if hold.refusals else ""
    yield f"hold point {hold.hold_point.id}: {hold.state}{tried}  ({hold.hold_point.name})"
    for key, why in hold.unproven:
        yield f"  unproven {key}: {why}"


def round_answer(walked: "Round") -> dict[str, Any]:
    """Return the round for a program."""
    from capture.commands.books import check_answer  # noqa: PLC0415 - only with --json

    return {
        "job": walked.job.number,
        "entries": walked.entries,
        "tally": dict(walked.tally()),
        "checks": [check_answer(check) for check in walked.checks],
        "hold_points": [
            {
                "id": hold.hold_point.id,
                "state": hold.state,
                "refused": len(hold.refusals),
                "unproven": [{"key": key, "why": why} for key, why in hold.unproven],
            }
            for hold in walked.holds
        ],
    }
