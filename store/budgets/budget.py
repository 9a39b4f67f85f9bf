"""An uncertainty budget: a value, and every error it may have.

JCGM 100:2008 (GUM): an error's contribution is its sensitivity times its standard uncertainty,
with a sign; independent ones add as squares (5.1.2), equal ones add as they are (5.2.2, taken as
fully correlated), and the degrees of freedom follow Welch and Satterthwaite (G.4.1). What makes
two errors one and the same is their label, wherever they turn up.
"""

from collections.abc import Iterable
from math import floor, fsum, inf, isfinite, log10, sqrt

from msgspec import Struct
from msgspec.structs import replace

from annotate.quantity import LEVEL, QUANTILE_STEPS, Quantity, conversion_factor
from store.budgets.shapes import Part, Shape, quantiles_of_sum
from store.errors import CannotDerive

_STEPS = tuple(step / QUANTILE_STEPS for step in range(QUANTILE_STEPS + 1))
_DUST = 1e-12
_FIGURES_OF_U = 4  # of a kept quantile: the record holds hundreds, and knows no more


class Source(Struct, frozen=True, omit_defaults=True):
    """One error that a value may have.

    ``label``: equal labels are one and the same error. ``words`` say it to a person ("resolution
    of mic-a"). ``u`` is its contribution to the value, in the budget's unit: sensitivity times
    standard uncertainty, SIGNED. ``dof`` are its degrees of freedom (None: infinite);
    ``quantiles`` belong to "sampled" and are those of the contribution, about the value.
    ``family``: errors of one family are different ones whose size is known from the same
    observations, so that their degrees of freedom are had once, not once each. With a family of
    paired observations, one error an observation, correlated means come out right (GUM H.2).
    """

    label: str
    words: str
    u: float
    shape: Shape = "rectangular"
    dof: float | None = None
    quantiles: tuple[float, ...] = ()
    family: str = ""

    def __post_init__(self) -> None:
        if not isfinite(self.u) or not all(map(isfinite, self.quantiles)):
            raise CannotDerive(f"{self.words}: an uncertainty that is not a number")
        if (self.shape == "sampled") != (len(self.quantiles) == QUANTILE_STEPS + 1):
            raise CannotDerive(f"{self.words}: a sampled error, and only that, has its quantiles")
        if self.dof is not None and not self.dof >= 1:
            raise CannotDerive(f"{self.words}: degrees of freedom {self.dof} below 1")

    def times(self, factor: float) -> "Source":
        """Return the same error where it counts ``factor`` times as much."""
        scaled = tuple(factor * each for each in self.quantiles)
        return replace(self, u=factor * self.u, quantiles=scaled if factor >= 0 else scaled[::-1])


class Budget(Struct, frozen=True, omit_defaults=True):
    """A value in its unit, and the errors it may have; without any it is exact."""

    value: float
    unit: str
    sources: tuple[Source, ...] = ()

    def __post_init__(self) -> None:
        if not isfinite(self.value):
            raise CannotDerive(f"the result is {self.value}, which is no number")

    @property
    def u(self) -> float:
        """The combined standard uncertainty, in the unit."""
        return sqrt(fsum(source.u**2 for source in merged(self.sources)))

    @property
    def dof(self) -> float | None:
        """The effective degrees of freedom, not truncated; None is infinite."""
        return _effective_dof(merged(self.sources))

    def quantity(self) -> Quantity:
        """Return the value as it is kept and judged.

        Stated with u and degrees of freedom; with quantiles where something sampled is in it.
        """
        if not any(source.shape == "sampled" for source in self.sources):
            return Quantity(self.value, self.unit, u=self.u, dof=self.dof)
        u = self.u
        quantiles = (self.value + each for each in self.spread(_STEPS))
        return Quantity(self.value, self.unit, u=u, quantiles=tidy(quantiles, u))

    def spread(self, probabilities: tuple[float, ...]) -> tuple[float, ...]:
        """Return the quantiles of all errors together, about the value, by their true shapes."""
        return quantiles_of_sum(_parts(merged(self.sources)), probabilities)

    def expanded(self, level: float = LEVEL) -> float:
        """Return the expanded uncertainty: half the interval that holds ``level`` of it.

        The interval is the probabilistically symmetric one of the true joint shape, which for
        one dominant rectangle is narrower than that of a normal distribution of the same u.
        """
        low, high = self.spread(((1 - level) / 2, (1 + level) / 2))
        return (high - low) / 2

    def factor(self, level: float = LEVEL) -> float:
        """Return the coverage factor k of the true joint shape; raises CannotDerive if exact."""
        if self.u == 0:
            raise CannotDerive("an exact value has no coverage factor")
        return self.expanded(level) / self.u

    def to(self, unit: str) -> "Budget":
        """Return the same budget in another unit; raises UnitMismatch."""
        factor = conversion_factor(self.unit, unit)
        sources = tuple(source.times(factor) for source in self.sources)
        return Budget(self.value * factor, unit, sources)


def combined(value: float, unit: str, terms: Iterable[tuple[Budget, float]]) -> Budget:
    """Return the budget of a result from those it depends on, each with its sensitivity.

    The law of propagation, first order (GUM 5.1.2, 5.2.2): errors of one label are added with
    their signs. A sensitivity is in the result's unit per that budget's unit.
    """
    scaled = [source.times(factor) for budget, factor in terms for source in budget.sources]
    return Budget(value, unit, merged(scaled))


def merged(sources: Iterable[Source]) -> tuple[Source, ...]:
    """Return the sources with those of one label added up, in the order they first turn up."""
    by_label: dict[str, Source] = {}
    for source in sources:
        known = by_label.get(source.label)
        by_label[source.label] = source if known is None else _added(known, source)
    return tuple(by_label.values())


def correlation(a: Budget, b: Budget) -> float:
    """Return the correlation coefficient of two values through their common errors."""
    if a.u == 0 or b.u == 0:
        return 0.0
    own = {source.label: source.u for source in merged(a.sources)}
    common = (own.get(source.label, 0.0) * source.u for source in merged(b.sources))
    return fsum(common) / (a.u * b.u)


def quantity_budget(quantity: Quantity, label: str, words: str) -> Budget:
    """Return the budget of a quantity as one error by itself, exact if it has none."""
    if quantity.u == 0:
        return Budget(quantity.value, quantity.unit)
    source = Source(label, words, quantity.u, "normal" if quantity.dof is None else "t")
    source = replace(source, dof=quantity.dof)
    if quantity.quantiles:
        about = tuple(each - quantity.value for each in quantity.quantiles)
        source = Source(label, words, quantity.u, "sampled", quantiles=about)
    return Budget(quantity.value, quantity.unit, (source,))


def coverage_budget(quantity: Quantity, entry: str) -> Budget:
    """Return the budget of what was measured on a photo, or worked out by Monte Carlo.

    One source, for its parts are no longer known apart; ``entry`` is where it is kept.
    """
    # One photo gives several values (a pin, an offset), and they are not one and the same error.
    label = f"value {quantity.value!r} {quantity.unit} of {entry}"
    return quantity_budget(quantity, label, "uncertainty of the value as kept")


def joint_budgets(
    observations: tuple[tuple[float, ...], ...], units: tuple[str, ...], label: str
) -> tuple[Budget, ...]:
    """Return the means of several things observed together, correlated as they were observed.

    ``observations`` holds one row a thing, the columns observed at one time. One error a column:
    then u is s / sqrt(n), the covariance of two means that of Table H.2 of the GUM, and any
    function of them has the n - 1 degrees of freedom that its own observations would have.
    Raises CannotDerive for fewer than two columns, or rows of different length.
    """
    count = len(observations[0]) if observations else 0
    if count < 2 or any(len(row) != count for row in observations):  # noqa: PLR2004 - spread
        raise CannotDerive("repeats taken together need two or more, as many of each")
    budgets = []
    for row, unit in zip(observations, units, strict=True):
        mean = fsum(row) / count
        sources = tuple(
            Source(
                f"{label} no. {number}", "spread of the repeats",
                (each - mean) / sqrt(count * (count - 1)), "t", dof=count - 1.0, family=label,
            )
            for number, each in enumerate(row, start=1)
        )  # fmt: skip
        budgets.append(Budget(mean, unit, sources))
    return tuple(budgets)


def tidy(quantiles: Iterable[float], u: float) -> tuple[float, ...]:
    """Return quantiles rounded to what they are known to: a few figures of ``u``."""
    places = _FIGURES_OF_U - 1 - floor(log10(u)) if u > 0 else 15
    return tuple(round(each, places) for each in quantiles)


def _added(a: Source, b: Source) -> Source:
    """Return one error that counts twice."""
    larger = a if abs(a.u) >= abs(b.u) else b
    if larger.u == 0:
        return a
    # Of errors that cancel, binary arithmetic leaves a little.
    factor = (a.u + b.u) / larger.u
    return larger.times(factor if abs(factor) > _DUST else 0.0)


def _effective_dof(sources: tuple[Source, ...]) -> float | None:
    """Return Welch and Satterthwaite's degrees of freedom (GUM G.2b), families taken whole."""
    families = _families(sources)
    # Relative to the largest: fourth powers of micrometres in metres underflow.
    largest = max((u for u, _ in families), default=0.0)
    if largest == 0:
        return None
    weights = fsum(
        (u / largest) ** 4 / dof for u, dof in families if dof not in {None, inf} and dof
    )
    return fsum((u / largest) ** 2 for u, _ in families) ** 2 / weights if weights else None


def _families(sources: tuple[Source, ...]) -> list[tuple[float, float | None]]:
    """Return (u, degrees of freedom) of each family of errors."""
    squares: dict[str, tuple[float, float | None]] = {}
    for source in sources:
        name = f"family {source.family}" if source.family else f"label {source.label}"
        square, dof = squares.get(name, (0.0, source.dof))
        squares[name] = square + source.u**2, dof
    return [(sqrt(square), dof) for square, dof in squares.values()]


def _parts(sources: tuple[Source, ...]) -> list[Part]:
    """Return independent parts: a family of t errors is one t, as wide as all of them."""
    parts = [
        Part(source.shape, abs(source.u), source.dof, source.quantiles)
        for source in sources
        if not (source.family and source.shape == "t")
    ]
    together = tuple(source for source in sources if source.family and source.shape == "t")
    return parts + [Part("t", u, dof) for u, dof in _families(together)]
