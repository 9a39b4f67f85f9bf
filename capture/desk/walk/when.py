"""A time as the bench says it: "09:31", or "2 Mar, 09:31" when that was another day. No Qt."""

from datetime import datetime

from store.report.figures import date_said


def clock(at: str, today: str) -> str:
    """Return the time of day of an ISO 8601 time; with its date unless that is ``today``'s too.

    What is no time stays as it is.
    """
    try:
        when = datetime.fromisoformat(at)
    except ValueError:
        return at
    said = f"{when:%H:%M}"
    if at[:10] == today[:10]:
        return said
    day, month, year = date_said(at).split("\u00a0")
    dated = f"{day} {month}" if year == today[:4] else f"{day} {month} {year}"
    return f"{dated}, {said}"
