"""The rows of a book, read as the pane reads them."""

from capture.desk.walk.row import FoldedRow, HoldRow, LocationRow, Row
from capture.desk.walk.rows import Asked, rows_of, walk_of
from capture.desk.where import Where
from capture.journey import Journey
from store.round import Round


def rows(
    known: Round, *, find: str = "", open_only: bool = False, where: Where | None = None
) -> list[Row]:
    return rows_of(walk_of(known), Asked(find, open_only, where or Where("map")))


def row_of(known: Round, key: str, where: Where | None = None) -> LocationRow | HoldRow:
    found = next(row for row in rows(known, where=where) if row.key == key)
    assert not isinstance(found, FoldedRow)
    return found


def prove_all_of_p1(journey: Journey) -> None:
    """Type what makes P1 of the small plan proven."""
    for key, text in (
        ("bore", "40.012 mm +- 0.002 mm"), ("plug", "40.087 mm +- 0.002 mm"),
        ("depth", "3.0 mm +- 0.1 mm BELOW"), ("clean", "yes"),
    ):  # fmt: skip
        journey.reading(f"P1.{key}", text)
