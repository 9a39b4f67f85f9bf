"""What a round still owes: the next check, what is open at a location, what it lacks as a whole."""

from store.round import Check, Place, Round


def next_check(walked: Round) -> Check | None:
    """Return the first check in walking order that still waits for the hand, None if none does."""
    return next(
        (
            check
            for check in walked.checks
            if not (check.current or check.excused or check.hidden or check.waiver)
            and not check.characteristic.is_worked_out
        ),
        None,
    )


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
