"""Pages of printed targets as a printer would lay them down: black and white dots of known size."""

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import typst
from PIL import Image

from store.report.lettering import lettered
from store.report.typeset import Template, typeset

AT = "2026-11-16T17:20:00+01:00"
Grey = npt.NDArray[np.uint8]


def rendered(folder: Path, template: Template, data: dict[str, Any], dots_per_inch: int) -> Grey:
    """Return the first page in grey, set as the PDF is set and drawn at so many dots per inch."""
    typeset(folder, lettered(data), (), at=AT, template=template)
    pattern = folder / "page-{n}.png"
    typst.compile(
        str(folder / f"{template}.typ"), output=str(pattern), root=str(folder), format="png",
        ppi=dots_per_inch, ignore_system_fonts=True,
    )  # fmt: skip
    return np.asarray(Image.open(folder / "page-1.png").convert("L"), dtype=np.uint8)


def mm_of(pixels: float, dots_per_inch: int) -> float:
    """Return a length on the page; an inch is 25.4 mm exactly (agreement of 1959)."""
    return pixels / dots_per_inch * 25.4
