"""What can go wrong between a person's hands and the book.

CaptureError
  BadReading     typed text that is not one clear value; says what to type instead
  BadPhoto       a file that cannot be taken in as a photo
  BadPaper       a file that cannot be kept as a paper
  BadProfile     a file that is no lens profile
  SlipSuspected  a typed reading looks like a known slip: look again, then say so
  BadPlanFile    a plan file that cannot be used; says where in it and why
  WrongUse       a command or call used wrongly; says how it is used
  NotSaid        the answer could not be written where it goes; what was kept stays kept
  Unfit          texts typed into several fields, some of which can't be taken
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from store.characteristic import Spot


class CaptureError(Exception):
    """Root of everything this package raises on purpose."""


class BadReading(CaptureError):
    """Typed text that is not one clear value.

    ``reason`` is one clause ("a mil is 0.001 in to some and 1 mm to others"), ``advice`` is what
    to type instead.
    """

    def __init__(self, reason: str, advice: str = "") -> None:
        super().__init__(f"{reason}; {advice}" if advice else reason)
        self.reason = reason
        self.advice = advice


class BadPhoto(CaptureError):
    """A file that cannot be taken in as a photo."""


class BadPaper(CaptureError):
    """A file that cannot be kept as a paper."""


class BadProfile(CaptureError):
    """A file that is no lens profile."""


class NotSaid(CaptureError):
    """The answer could not be written where it goes; what was kept stays kept."""


class SlipSuspected(CaptureError):
    """A typed reading looks like a known slip of the hand; nothing was kept.

    ``suspected`` names each slip with the gap, never a corrected number. ``spot`` is where in a
    grid the reading was for.
    """

    def __init__(
        self, key: str, text: str, suspected: tuple[str, ...], spot: "Spot | None" = None
    ) -> None:
        super().__init__(
            f"{key}: {text.strip()!r} was not filed yet: {'; '.join(suspected)}. Look again, then "
            "type what it is, or say that it stands"
        )
        self.key, self.text, self.suspected, self.spot = key, text, suspected, spot


class BadPlanFile(CaptureError):
    """A plan file that cannot be used."""


class WrongUse(CaptureError):
    """A command or call used wrongly."""


class Unfit(CaptureError):
    """Texts typed into several fields: ``fields`` has a sentence for each that can't be taken."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        super().__init__("; ".join(f"{name}: {sentence}" for name, sentence in fields.items()))
        self.fields = dict(fields)
