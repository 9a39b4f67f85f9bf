"""How slantwise the camera looked, what that did to the number, and which way to move it."""

from math import atan2, degrees, hypot

from annotate.result import Coverage, Known
from capture.words.coverages import shift_text
from capture.words.quantities import count_text, quantity_text
from store.evidence import Marked
from store.round import Check

# Under it a wall of 2 mm shifts the far hole by a tenth of a millimetre: nothing to move for.
SQUARE_ON_DEG = 3.0


def sight_words(result: Coverage, *, advise: bool = True) -> str:
    """Return the lean, its shift in mm and points, and the advice; "" where it is not known.

    Without ``advise`` nobody is sent to take another photo.
    """
    sight = result.line_of_sight
    if not isinstance(sight, Known):
        return ""
    lean = f"Leaning {quantity_text(sight.quantity).removesuffix(' deg')}°"
    if _either_way(result):
        return (
            f"{lean}, to which side can't be told from this picture: it shifts the far hole by "
            f"at most {_farthest_mm(result):.2f} mm, and both sides are allowed for. A photo taken "
            "square-on says more."
        )
    away = _hour_of_shift(result)
    towards = f" towards {_clock(away)} in the picture" if away is not None else ""
    told = f"{lean}{towards}{_shift_words(result)}."
    if sight.quantity.value <= SQUARE_ON_DEG:
        return f"{told} That is as good as square-on."
    if away is None or not advise:
        return told
    back = _clock((away + 6) % 12)
    return f"{told} Move the camera towards {back} in the picture and take it again."


def filed_words(check: Check) -> str:
    """Return what is told right after acceptance: which marks on the photo, and the lean."""
    attempt = check.current
    record = attempt.record if attempt else None
    if attempt is None or not isinstance(record, Marked):
        return "the marks are filed"
    on_photo = sum(each.photo == record.photo for each in check.attempts)
    told = f"filed as marks no. {on_photo} on this photo, {len(check.attempts)} in all. "
    if others := together_words(record):
        told = f"{told}{others[:1].upper()}{others[1:]}. "
    # Once it is clearly within or outside, another photo would say nothing more.
    return told + sight_words(record.result, advise=check.state not in {"within", "outside"})


def together_words(marked: Marked) -> str:
    """Return with how many other photos marks were measured as one, empty where with none."""
    if not marked.together:
        return ""
    others = count_text(len(marked.together), "other photo")
    return f"measured together with {others} of this hole, what they share counted once"


def undone_words(record: object, file_name: str) -> str:
    """Return what is struck when marks are taken back."""
    together = isinstance(record, Marked) and bool(record.together)
    return "what was measured together" if together else f"the marks on {file_name}"


def second_words(check: Check) -> str:
    """Return what is told after blind second marks: how far the two agree."""
    if not check.seconds:
        return "the second marks are filed"
    second = check.seconds[-1]
    if second.en is None:
        return f"second marks kept beside the first; how far they agree can't be told: {second.why}"
    agree = "the two agree" if second.en <= 1 else "the two do not agree: look at both"
    return f"second marks kept beside the first: En {second.en:.2f}, at most 1 is asked; {agree}"


def _shift_words(result: Coverage) -> str:
    told = shift_text(result)
    if not told:
        return "; by how many mm that shifts the far hole is not known, for no length is"
    return f" {told}"


def _hour_of_shift(result: Coverage) -> float | None:
    """Return the hour towards which the far hole seems shifted: where the camera stands."""
    dx, dy = result.parallax.dx, result.parallax.dy
    if not (isinstance(dx, Known) and isinstance(dy, Known)):
        return None
    x, y = dx.quantity.value, dy.quantity.value
    return degrees(atan2(x, -y)) / 30 % 12 if hypot(x, y) > 0 else None


def _either_way(result: Coverage) -> bool:
    """Tell whether the shift may as well be the other way: both its intervals hold 0."""
    shifts = (result.parallax.dx, result.parallax.dy)
    known = [shift.quantity.interval() for shift in shifts if isinstance(shift, Known)]
    return bool(known) and all(low < 0 < high for low, high in known)


def _farthest_mm(result: Coverage) -> float:
    """Return how far the shift may reach, by the ends of its 95 % intervals."""
    shifts = (result.parallax.dx, result.parallax.dy)
    ends = [
        max(map(abs, shift.quantity.interval())) for shift in shifts if isinstance(shift, Known)
    ]
    return hypot(*ends)


def _clock(hour: float) -> str:
    return f"{round(hour) % 12 or 12} o'clock"
