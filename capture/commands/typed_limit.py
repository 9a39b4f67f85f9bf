"""A limit typed with the command -> Limit."""

from annotate.quantity import Quantity
from capture.entry import parse_limit
from capture.errors import BadReading, WrongUse
from store.characteristic import Limit


def read_limit(text: str) -> Limit:
    """Return the limit of "covered < 40 %"; raises WrongUse naming the option."""
    try:
        bound = parse_limit(text)
    except BadReading as refused:
        raise WrongUse(f"--limit {text!r}: {refused}") from refused
    value = Quantity(float(bound.value), bound.unit)
    below = bound.comparison in {"<", "<="}
    return Limit(
        source="typed with the command",
        at_most=value if below else None,
        at_least=None if below else value,
        of=bound.of,
    )
