"""Ids that the forms of the plan make of what is typed into them."""

from collections.abc import Callable

from capture.desk.job.made_id import follow
from capture.desk.job.page import Page
from store.errors import BadPlan
from store.round import Round


def follow_names(page: Page, known: Callable[[], Round | None]) -> None:
    """Have a new location, check and hold point take its id from its name or its question."""

    def ids() -> set[str]:
        now = known()
        if now is None:
            return set()
        places = {location.id for location in now.plan.locations}
        return places | {hold.id for hold in now.plan.hold_points}

    def checks() -> set[str]:
        return _checks_at(known(), page.form("check").fields["location"].text())

    for name, first, taken in (
        ("location", "name", ids),
        ("hold", "name", ids),
        ("check", "question", checks),
    ):
        fields = page.form(name).fields
        follow(fields[first], fields["id"], taken)


def _checks_at(known: Round | None, location: str) -> set[str]:
    if known is None:
        return set()
    try:
        return {check.id for check in known.plan.location(location).characteristics}
    except BadPlan:
        return set()
