"""What a round still owes: the next check, what is open at a location, what it lacks as a whole."""

from store.round import Check, Place, Round


def next_check(walked: Round, start: str = "", *, past: bool = False) -> Check | None:
    """Return the next check that still waits for the hand, None if none does.

    It is sought in walking order from the check or location ``start`` on, or only ``past`` it, and
    then from the first one; from the first one too where there is no such check.
    """
    checks = walked.checks
    at = next((n for n, c in enumerate(checks) if start in {c.key, c.location.id}), 0)
    at += past and bool(checks) and checks[at].key == start
    return next(
        (check for check in (*checks[at:], *checks[:at]) if waits_for_the_hand(check)), None
    )


def waiting_beside(place: Place, key: str, steps: int) -> Check | None:
    """Return the next check of a location that waits for the hand after ``key``; None if none.

    The nearest one before it where ``steps`` is negative.
    """
    keys = [check.key for check in place.checks]
    at = keys.index(key) if key in keys else -1 if steps > 0 else len(keys)
    beside = place.checks[at + 1 :] if steps > 0 else reversed(place.checks[: max(at, 0)])
    return next((check for check in beside if waits_for_the_hand(check)), None)


def waits_for_the_hand(check: Check) -> bool:
    """Return whether something is still to be read or measured for a check."""
    done = check.current is not None and not check.missing
    given_up = check.excused or check.hidden or check.waiver
    return not (done or given_up or check.characteristic.is_worked_out)


def open_checks(place: Place) -> list[Check]:
    """Return the checks of a place that are neither proven nor waived."""
    return [check for check in place.checks if not check.proven and check.waiver is None]


def wants_of(walked: Round, place: Place) -> list[str]:
    """Return what a location as a whole still owes, each once, with the hold point that asks."""
    asked: dict[str, list[str]] = {}
    for hold in walked.holds:
        for key, why in hold.unproven:
            if key == place.location.id:
                asked.setdefault(why, []).append(hold.hold_point.id)
    return [f"{why} (asked for by {', '.join(holds)})" for why, holds in asked.items()]
