"""One family, four sizes, two weights; figures all of one width, so that columns stand still."""

from functools import lru_cache
from typing import Literal

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF

Size = Literal["caption", "body", "head", "reading"]

PIXELS: dict[Size, int] = {"caption": 14, "body": 18, "head": 28, "reading": 56}
LINE: dict[Size, int] = {"caption": 20, "body": 24, "head": 36, "reading": 64}
_OTHERWISE = ("Noto Sans", "Segoe UI", "Ubuntu", "Cantarell", "DejaVu Sans")


def font(size: Size = "body", *, bold: bool = False) -> QFont:
    """Return the font of a size; needs a running application."""
    made = QFont(_family())
    made.setPixelSize(PIXELS[size])
    made.setBold(bold)
    made.setFeature(QFont.Tag("tnum"), 1)
    return made


@lru_cache(maxsize=1)
def _family() -> str:
    """Return the system's family if its figures can be had in one width, else the next that can."""
    system = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont).family()
    there = set(QFontDatabase.families())
    for family in (system, *(each for each in _OTHERWISE if each in there)):
        if _is_tabular(family):
            return family
    return system


def _is_tabular(family: str) -> bool:
    probe = QFont(family)
    probe.setPixelSize(100)
    probe.setFeature(QFont.Tag("tnum"), 1)
    metrics = QFontMetricsF(probe)
    return len({round(metrics.horizontalAdvance(figure * 8), 1) for figure in "0123456789"}) == 1
