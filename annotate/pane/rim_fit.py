"""A rim's points -> the outline drawn through them, and how well they keep to it. No Qt.

Hours are those of a clock face laid on the picture, 12 straight up. Residuals are across the
outline in pixels, outside positive. A far or back rim takes the FORM (ratio of axes and angle) of
the near rim, for in the near rim's own frame a parallel circle is a circle too: an arc carries
three numbers where it cannot carry five. Without a near rim it must do with an ellipse of its own.
"""

from functools import lru_cache
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
from msgspec import Struct

from annotate.marks import Ellipse, Rim
from annotate.pane.quick_fit import quick_fit

Array: TypeAlias = npt.NDArray[np.float64]

GAP_DEG = 20.0  # a gap wider than this, and than three usual ones, is a piece not seen
_USUAL_GAPS = 3.0
_RUNS_OFF_PX = 1.0  # a stretch this far off is worth a word
_STRETCH_HOURS = 1.0


class RimFit(Struct, frozen=True):
    """The outline through a rim's points and what is left over, point by point.

    ``unseen`` are the pieces without points, as pairs of hours read clockwise; ``borrowed`` tells
    that the form is the near rim's. ``scatter_px`` is the root mean square of the kept points.
    """

    which: str
    outline: Ellipse
    hours: tuple[float, ...]
    residuals_px: tuple[float, ...]
    kept: tuple[bool, ...]
    scatter_px: float
    unseen: tuple[tuple[float, float], ...]
    borrowed: bool

    @property
    def seen_deg(self) -> float:
        """Degrees of the outline that have points."""
        return 360.0 - sum(30.0 * ((end - start) % 12) for start, end in self.unseen)

    @property
    def band_px(self) -> float:
        """Half the width of the band a good rim's points keep to: a pixel, or its scatter."""
        return max(1.0, self.scatter_px)

    @property
    def count_words(self) -> str:
        """How many points were kept ("44 of 48 points kept")."""
        return f"{sum(self.kept)} of {len(self.kept)} points kept"

    @property
    def words(self) -> str:
        """What the strip shows, in a sentence or two."""
        parts = [f"Scatter {self.scatter_px:.1f} px."]
        if self.unseen:
            parts.append(f"{self.seen_deg:.0f}° of it can be seen.")
        off = self._worst_stretch()
        if off is not None:
            hour, px = off
            side = "outside" if px > 0 else "inside"
            parts.append(f"Runs {abs(px):.1f} px {side} near {_clock(hour)}.")
        elif not self.unseen:
            parts.append("Follows all the way round.")
        if self.which != "near" and not self.borrowed:
            parts.append("Drawn on its own: mark the near rim first, it gives the form.")
        return " ".join(parts)

    @property
    def left_out_words(self) -> str:
        """Where points were left out ("left out: 4 points, at 2 and 8 o'clock"), "" if nowhere."""
        out = [h for h, kept in zip(self.hours, self.kept, strict=True) if not kept]
        if not out:
            return ""
        at = sorted({round(h) % 12 or 12 for h in out})
        where = " and ".join(", ".join(str(h) for h in at).rsplit(", ", 1))
        points = "1 point" if len(out) == 1 else f"{len(out)} points"
        return f"left out: {points}, at {where} o'clock"

    def _worst_stretch(self) -> tuple[float, float] | None:
        """Return hour and mean residual of the stretch of an hour that runs off most, or None."""
        kept = np.array(self.kept)
        hours, off = np.array(self.hours)[kept], np.array(self.residuals_px)[kept]
        apart = np.abs((hours[:, None] - hours + 6) % 12 - 6) <= _STRETCH_HOURS / 2
        several = apart.sum(axis=1) >= 3  # noqa: PLR2004 - fewer points are scatter, no stretch
        means = np.where(several, apart @ off / apart.sum(axis=1), 0.0)
        worst = int(np.argmax(np.abs(means)))
        px = float(means[worst])
        return (float(hours[worst]), px) if abs(px) >= _RUNS_OFF_PX else None


@lru_cache(maxsize=64)
def fit_rim(rim: Rim, near: Ellipse | None = None) -> RimFit | None:
    """Return the outline through a rim and its residuals, None where the points make no outline.

    ``near`` is the near rim's outline, for the form of a far or back rim. A point of a found rim
    is left out when it lies farther off than three standard deviations of the others; points set
    or moved by hand all count, for the hand meant them. The last answers are kept.
    """
    form = near if rim.which != "near" else None
    if not rim.points_px:
        return None
    fit = quick_fit(rim.array_px(), rim.sigma_px, form=form, trim=rim.placed == "found")
    if fit is None:
        return None
    hours = hours_of(rim.array_px(), fit.outline)
    return RimFit(
        which=rim.which,
        outline=fit.outline,
        hours=tuple(hours.tolist()),
        residuals_px=tuple(fit.residuals_px.tolist()),
        kept=tuple(fit.kept.tolist()),
        scatter_px=fit.scatter_px,
        # A point that was left out was seen all the same.
        unseen=_unseen(hours),
        borrowed=form is not None,
    )


def hours_of(points: Array, outline: Ellipse) -> Array:
    """Return the hour (N,) at which each point (N, 2) lies as seen from the outline's centre."""
    across, down = points[:, 0] - outline.cx, points[:, 1] - outline.cy
    result: Array = np.degrees(np.arctan2(across, -down)) / 30 % 12
    return result


def is_seen(hours: Array, unseen: tuple[tuple[float, float], ...]) -> npt.NDArray[np.bool_]:
    """Tell for each hour whether it lies outside every unseen piece."""
    seen = np.ones(len(hours), dtype=bool)
    for start, end in unseen:
        seen &= (hours - start) % 12 >= (end - start) % 12
    return seen


def _unseen(hours: Array) -> tuple[tuple[float, float], ...]:
    """Return the gaps between hours that are wider than the usual ones, clockwise."""
    at = np.sort(hours)
    gaps = np.diff(at, append=at[0] + 12)
    least = max(GAP_DEG / 30, _USUAL_GAPS * float(np.median(gaps)))
    wide = np.flatnonzero(gaps > least)
    return tuple((float(at[k]), float((at[k] + gaps[k]) % 12)) for k in wide)


def _clock(hour: float) -> str:
    return f"{round(hour) % 12 or 12} o'clock"
