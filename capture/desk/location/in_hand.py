"""What the hand said in this sitting and need not say again: gauge, side, zero, temperatures."""

from fractions import Fraction

from capture.desk.location.beside import Beside
from store.characteristic import Characteristic, Doubt, Spot
from store.evidence import Zero
from store.plan import Gauge, Plan
from store.round import Check, Round
from store.stock import GaugeState


class InHand:
    """Kept for as long as the window is open, and never written down by itself."""

    def __init__(self) -> None:
        self.part_c: float | None = None
        self.gauge_c: float | None = None
        self.read_at = ""
        self.doubts: tuple[Doubt, ...] = ()
        self.photos: tuple[str, ...] = ()
        self._gauges: dict[str, str] = {}
        self._sides: dict[str, str] = {}
        self._zeros: dict[str, Zero] = {}
        self._passed: dict[str, str] = {}
        self._spots: dict[str, Spot] = {}
        self._not_again: dict[str, Fraction] = {}

    # --- what stands beside the next reading ------------------------------------------------

    def beside(self, plan: Plan, key: str, spot: Spot) -> Beside:
        """Return all that goes with the next reading of a check, at a spot."""
        _, check = plan.characteristic(key)
        gauge = self.gauge_of(key, check)
        tool = next((each for each in plan.gauges if each.id == gauge), None)
        in_words = check.kind in {"yes-no", "note"}
        return Beside(
            gauge=gauge,
            spot=spot,
            side=self._sides.get(key, ""),
            passed=self._passed.get(key, ""),
            zero=self._zeros.get(key) if tool is not None and tool.difference else None,
            doubts=() if in_words else self.doubts,
            part_c=None if in_words else self.part_c,
            gauge_c=None if in_words else self.gauge_c,
            photos=self.photos,
            read_at=self.read_at,
            not_again=self._not_again.get(key),
            wants_zero=tool is not None and tool.difference and key not in self._zeros,
        )

    def gauge_of(self, key: str, check: Characteristic) -> str:
        """Return the gauge chosen for a check, by default the plan's."""
        return self._gauges.get(key, check.gauge)

    def zero_of(self, key: str) -> Zero | None:
        """Return what the gauge was zeroed to for a check, None if nobody said."""
        return self._zeros.get(key)

    def passed_of(self, key: str) -> str:
        """Return the pin that passed and waits for the one that stopped, empty if none."""
        return self._passed.get(key, "")

    def side_of(self, key: str) -> str:
        """Return the word that a bare number of a check has, empty if none."""
        return self._sides.get(key, "")

    def spot_of(self, check: Check, waiting: list[Spot]) -> Spot | None:
        """Return where the next reading goes: the spot chosen, else the next one without one.

        ``waiting`` are spots whose reading is being filed. None where every spot has one.
        """
        if (chosen := self._spots.get(check.key)) is not None:
            return chosen
        if not check.characteristic.is_grid:
            return Spot()
        return next((spot for spot in check.missing if spot not in waiting), None)

    # --- what was said ----------------------------------------------------------------------

    def take_gauge(self, key: str, gauge: str) -> None:
        """Use another gauge for a check."""
        self._gauges[key] = gauge

    def take_side(self, key: str, side: str) -> None:
        """Give bare numbers of a check this word; none if it is empty."""
        self._sides[key] = side

    def take_zero(self, key: str, zero: Zero) -> None:
        """Remember what the gauge was zeroed to."""
        self._zeros[key] = zero

    def take_passed(self, key: str, pin: str) -> None:
        """Hold the pin that passed until the one that stopped is typed; drop it if empty."""
        self._passed[key] = pin

    def take_spot(self, key: str, spot: Spot | None) -> None:
        """Choose where the next reading goes; None for the next one without a reading."""
        if spot is None:
            self._spots.pop(key, None)
        else:
            self._spots[key] = spot

    def not_again(self, key: str, figure: Fraction | None) -> None:
        """Remember the figure of a torque that is to be done again."""
        if figure is not None:
            self._not_again[key] = figure

    def filed(self, key: str, side: str, *, is_difference: bool) -> None:
        """Forget what belonged to one reading only; ``side`` was typed with a depth."""
        self._passed.pop(key, None)
        self._spots.pop(key, None)
        self._not_again.pop(key, None)
        if is_difference:
            self._sides.pop(key, None)
        elif side:
            self._sides[key] = side

    def leave(self) -> None:
        """Forget what belonged to one check only."""
        self.read_at, self.doubts, self.photos = "", (), ()

    @property
    def words(self) -> str:
        """What goes with every reading now, beyond the gauge; empty if nothing does."""
        parts = [f"read {self.read_at}"] if self.read_at else []
        parts += [f"doubt: {doubt.what}" for doubt in self.doubts]
        if self.part_c is not None:
            parts.append(f"part {self.part_c:g} \u00b0C")
        if self.gauge_c is not None and self.gauge_c != self.part_c:
            parts.append(f"gauge {self.gauge_c:g} \u00b0C")
        parts += ["with its photo"] if self.photos else []
        return "; ".join(parts)


def gauges_for(known: Round, check: Characteristic) -> tuple[GaugeState, ...]:
    """Return the gauges that can read a check, the plan's own first."""
    from annotate.quantity import UNITS  # noqa: PLC0415 - beside its use

    fit = [state for state in known.gauges if _fits(state.gauge, check, UNITS)]
    return tuple(sorted(fit, key=lambda state: state.gauge.id != check.gauge))


def _fits(gauge: Gauge, check: Characteristic, units: dict[str, tuple[str, str]]) -> bool:
    if gauge.difference and check.kind != "length":
        return False
    return units[gauge.resolution.unit][1] == units[check.unit][1]
