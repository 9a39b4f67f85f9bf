"""When a photo was shot by its camera's clock, and when it arrived by this computer's. No Qt."""

from datetime import datetime, timedelta

_AHEAD = timedelta(minutes=2)  # two clocks that nobody set together may well differ by so much
_DAY = timedelta(days=1)
_HOUR = timedelta(hours=1)


def times_in_words(camera_time: str, arrived_at: str) -> str:
    """Return "shot 14:02:17, arrived 14:02:41", with both days where the two days differ.

    Both are ISO 8601; a camera that knew no offset from UTC is taken to be in the bench's own.
    """
    arrived = _parsed(arrived_at)
    shot = _beside(_parsed(camera_time), arrived)
    if arrived is None:
        return ""
    if shot is None:
        return f"no camera time, arrived {arrived:%H:%M:%S}"
    told = "%H:%M:%S" if shot.date() == arrived.date() else "%d %b %Y %H:%M"
    return f"shot {shot:{told}}, arrived {arrived:{told}}"


def clock_doubt(camera_time: str, arrived_at: str, begun_at: str) -> str:
    """Return a sentence where the camera's clock can't be right, or hardly; "" where it may be.

    ``begun_at`` is when the job began: hardly a photo of it was shot more than a day before.
    """
    arrived = _parsed(arrived_at)
    shot = _beside(_parsed(camera_time), arrived)
    if arrived is None or shot is None:
        return ""
    if shot - arrived > _AHEAD:
        return (
            f"the camera's clock is {_length(shot - arrived)} ahead of this computer's: set it, "
            "or say in a note which one is right"
        )
    begun = _beside(_parsed(begun_at), arrived)
    if begun is not None and begun - shot > _DAY:
        return (
            f"by its camera it was shot {_length(begun - shot)} before the job began: check the "
            "camera's date, or whether it is a photo of this job"
        )
    return ""


def _parsed(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def _beside(shot: datetime | None, arrived: datetime | None) -> datetime | None:
    """Return a time in the offset of the other clock."""
    if shot is None or arrived is None:
        return None
    if arrived.tzinfo is None or shot.tzinfo is None:
        return shot.replace(tzinfo=arrived.tzinfo)
    return shot.astimezone(arrived.tzinfo)


def _length(span: timedelta) -> str:
    minutes = round(span.total_seconds() / 60)
    if span >= 2 * _DAY:
        return f"{span.days} days"
    if span >= 2 * _HOUR:
        return f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes} min"
