"""Exit codes, and which refusal ends with which."""

from annotate.errors import AnnotateError, UnitMismatch
from capture.errors import (
    BadPaper,
    BadPhoto,
    BadPlanFile,
    BadProfile,
    BadReading,
    NotSaid,
    SlipSuspected,
    WrongUse,
)
from store.errors import (
    BadAct,
    BadKey,
    BadPack,
    BadPlan,
    BadRecord,
    BookExists,
    CannotWrite,
    Damaged,
    NoSuchEntry,
    NotABook,
    NotProven,
)

DONE = 0
USED_WRONGLY = 2
NOT_READ = 3
TOO_CLOSE = 4
OUTSIDE = 5
REFUSED = 6
ALTERED = 7
NOT_WRITTEN = 8
OTHERWISE = 9
OUR_BUG = 70

OF_STATE = {
    "within": DONE,
    "no limit": DONE,
    "outside": OUTSIDE,
    "too close to call": TOO_CLOSE,
    "not measured": NOT_READ,
}

_OF_ERROR: tuple[tuple[type[Exception], int], ...] = (
    (BadReading, USED_WRONGLY),
    (SlipSuspected, USED_WRONGLY),
    (WrongUse, USED_WRONGLY),
    (NotSaid, NOT_WRITTEN),
    (BadPhoto, NOT_READ),
    (BadPaper, NOT_READ),
    (BadPlanFile, NOT_READ),
    (BadProfile, NOT_READ),
    (UnitMismatch, USED_WRONGLY),
    (AnnotateError, NOT_READ),
    (BadPlan, USED_WRONGLY),
    (BadRecord, USED_WRONGLY),
    (BadAct, USED_WRONGLY),
    (BadKey, USED_WRONGLY),
    (BadPack, ALTERED),
    (NoSuchEntry, USED_WRONGLY),
    (BookExists, USED_WRONGLY),
    (NotABook, NOT_READ),
    (NotProven, REFUSED),
    (CannotWrite, NOT_WRITTEN),
    (Damaged, ALTERED),
    (OSError, NOT_WRITTEN),
)
# From best to worst, for a verb that judges several things.
SEVERITY = (DONE, NOT_READ, TOO_CLOSE, OUTSIDE)


def code_of(error: Exception) -> int:
    """Return the exit code that a refusal ends with."""
    return next((code for kind, code in _OF_ERROR if isinstance(error, kind)), NOT_READ)
