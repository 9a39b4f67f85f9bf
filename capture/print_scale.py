"""The bars of a printed card as measured -> how large everything on that print is."""

from collections.abc import Sequence

from msgspec import Struct

from annotate.own_targets import SCALED
from annotate.quantity import Quantity
from capture.errors import WrongUse

BAR_MM = 100.0
# A printer places an edge to half of a dot: 25.4 mm / 600 / 2, taken as a rectangle.
_EDGE_U_MM = 25.4 / 600 / 2 / 3**0.5
# Printers stretch the two directions differently by some tenths of a per cent (common practice,
# no source): the half width for a direction that was not measured, and what is told when it was.
_UNMEASURED = 0.003
_UNEVEN = 0.002


class PrintScale(Struct, frozen=True):
    """How much larger a print is than its page, with the standard uncertainty of that."""

    factor: float
    u: float
    noted: tuple[str, ...] = ()

    def printed(self, stated_mm: float) -> Quantity:
        """Return the printed length of one that the page states, in mm."""
        u = (self.u**2 + (_EDGE_U_MM / stated_mm) ** 2) ** 0.5
        return Quantity(self.factor * stated_mm, "mm", u * stated_mm)


def print_scale(bars: Sequence[Quantity]) -> PrintScale:
    """Return the scale of a print by its bar across and, if it was measured, its bar down.

    What the two differ by, or may differ by, counts as a half width of a rectangle, for a marker
    may lie either way round. Raises WrongUse for a bar more than 3 % off, and for none.
    """
    if not bars:
        raise WrongUse("no bar was measured: type the bar across, and the bar down")
    factors = [bar.to("mm").value / BAR_MM for bar in bars]
    for factor in factors:
        if abs(factor - 1) > SCALED:
            raise WrongUse(
                f"a bar of {factor * BAR_MM:.4g} mm is more than {SCALED * 100:.0f} % off its "
                f"{BAR_MM:.0f} mm: the print was scaled; print at 100 %, not fitted to the page"
            )
    uneven = _UNMEASURED if len(factors) == 1 else (max(factors) - min(factors)) / 2
    read = max(bar.to("mm").u for bar in bars) / BAR_MM
    return PrintScale(
        factor=sum(factors) / len(factors),
        u=(read**2 + uneven**2 / 3) ** 0.5,
        noted=_noted(factors),
    )


def _noted(factors: list[float]) -> tuple[str, ...]:
    if len(factors) == 1:
        return (
            (
                f"the bar down was not measured: +- {_UNMEASURED * 100:.1f} % is allowed for it; "
                "type both bars for less"
            ),
        )
    apart = max(factors) - min(factors)
    if apart > _UNEVEN:
        return (
            (
                f"the bars differ by {apart * 100:.2f} %: the print is uneven, and the sizes are "
                "as uncertain as that"
            ),
        )
    return ()
