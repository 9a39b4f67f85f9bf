"""A gauge of the register in words: what it is, what is against it, what rests on it."""

from collections.abc import Iterator

from capture.words.quantities import given_text
from store.round import Round
from store.stock import GaugeState


def register_lines(state: GaugeState, today: str) -> Iterator[str]:
    """Yield one gauge of the register, in one line, with what is against it below."""
    gauge = state.gauge
    parts = [
        f"{gauge.id}  {gauge.kind}: reads to {given_text(gauge.resolution)}",
        f"may err by {given_text(gauge.permissible_error)}",
        f"checked {gauge.last_check}" if gauge.last_check else "last check not known",
    ]
    parts += [f"due {gauge.due}"] if gauge.due else []
    parts += ["reads a difference"] if gauge.difference else []
    yield ", ".join(parts)
    yield from _against(state, today)


def gauge_lines(state: GaugeState, today: str) -> Iterator[str]:
    """Yield everything that is known of one gauge."""
    gauge = state.gauge
    yield from register_lines(state, today)
    if gauge.marked:
        yield f"    marked {gauge.marked}"
    if gauge.set_on:
        yield f"    set on {gauge.set_on}"
    if gauge.repeatability:
        spread = given_text(gauge.repeatability)
        yield f"    repeats to {spread} (standard deviation of {gauge.repeats} readings)"


def _against(state: GaugeState, today: str) -> Iterator[str]:
    if state.gauge.due and state.gauge.due <= today:
        yield f"    OVERDUE: it was due for a check on {state.gauge.due}"
    if state.suspect:
        yield f"    SUSPECT since {state.since}: {state.suspect}"


def unproven_lines(walked: Round, gauge: str) -> Iterator[str]:
    """Yield what stands unproven now for a suspicion, and which of it is hidden already."""
    words = next((s.gauge.id for s in walked.gauges if s.gauge.id == gauge and s.suspect), "")
    resting = [c for c in walked.checks if words and c.suspect.startswith(f"{words} is suspect")]
    if resting:
        yield f"unproven now: {', '.join(check.key for check in resting)}"
    hidden = [check.key for check in resting if check.hidden]
    if hidden:
        yield f"of these hidden already, behind what is closed: {', '.join(hidden)}"
