"""Books and checks of many jobs, as the shop's index has them, in words."""

from annotate.quantity import Quantity
from capture.words.quantities import quantity_text
from store.ways_out.listing import Row

_TALLY = (
    ("within", "within"),
    ("outside", "outside"),
    ("too_close", "too close to call"),
    ("not_measured", "not measured"),
    ("no_limit", "no limit"),
)


def job_text(row: Row) -> str:
    """Return which job a row is of: its number, engine and customer."""
    return f"{row['job']}  {row['engine']}, {row['customer']}"


def tally_text(book: Row) -> str:
    """Return how many checks of a book stand at each word."""
    tally = (f"{book[name]} {word}" for name, word in _TALLY if book[name])
    return ", ".join(tally) or "no checks"


def value_text(row: Row) -> str:
    """Return the value of a row with its uncertainty, or what else is said of it.

    A fraction is told in per cent and its uncertainty in points; an En number is no fraction.
    """
    value, u, unit = row["value"], row["u"], str(row["unit"])
    if not isinstance(value, float) or not isinstance(u, float):
        return str(row.get("text") or row.get("why") or "")
    if row["kind"] == "agreement":
        return f"En {value:.2f}"
    shown = quantity_text(Quantity(value, unit, u), depth=bool(row["side"]))
    doubt = f"{100 * u:.2g} points" if unit == "1" else f"{u:.2g}"
    return f"{shown} (u {doubt})" if u else shown
