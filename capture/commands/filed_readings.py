"""What was filed of a check -> lines for a person, the JSON for a program, and the exit code."""

from collections.abc import Iterator
from typing import NamedTuple

from capture.commands.books import check_answer, spot_answer
from capture.commands.edge import say, say_json, warn
from capture.commands.exits import DONE, OF_STATE, SEVERITY
from capture.words.checks import check_line, grid_count, spot_text
from store.characteristic import Spot
from store.evidence import Read
from store.round import Check


class Filed(NamedTuple):
    """The readings filed, (spot, text) each; the check after them and what follows from it."""

    filed: tuple[tuple[Spot, str], ...]
    check: Check
    following: tuple[Check, ...]
    noted: tuple[str, ...]


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
