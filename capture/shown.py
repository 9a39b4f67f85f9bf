"""How a coverage came about -> a picture file: SVG with the photo inside, or PNG of the same."""

import base64
import io
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import numpy.typing as npt

from annotate import coverage
from annotate.drawings import refused, workings
from annotate.drawings.pen import Box
from annotate.givens import Givens
from annotate.marks import Layer, Point
from annotate.optics.profile import LensProfile
from annotate.result import Coverage
from annotate.routes import outlined
from capture.errors import WrongUse

SUFFIXES = (".svg", ".png")
_LONGEST_PX = 1600  # of the photo inside: enough for any screen
_QUALITY = 85
_PPI = 144.0
_MADE_BY, _WORKINGS = "Software", "benchproof: workings of a coverage"  # a keyword of PNG's own
_PAGE = """#set page(width: auto, height: auto, margin: 0pt)
#image("workings.svg")
"""

Pixels = npt.NDArray[np.uint8]


def refuse_suffix(path: Path) -> None:
    """Raise WrongUse for a file that is no SVG and no PNG by its name."""
    if path.suffix.lower() not in SUFFIXES:
        raise WrongUse(f"{path.name}: a picture is written as .svg or .png")


def is_workings(path: Path) -> bool:
    """Return whether a file is such a picture, by its name an SVG or a PNG: no photo is one."""
    if path.suffix.lower() == ".svg":
        with path.open("rb") as file:
            return file.read(5) == b"<svg "
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - loads what only this needs

    try:
        with Image.open(path) as picture:
            return picture.info.get(_MADE_BY) == _WORKINGS
    except (UnidentifiedImageError, OSError):
        return False


def write_workings(
    path: Path,
    pixels: Pixels,
    layer: Layer,
    givens: Givens,
    *,
    found: Coverage,
    seed: int,
    trials: int,
    lens: LensProfile | None,
    beside: Sequence[str] = (),
) -> None:
    """Write how the coverage of one photo came about; an existing file is written over.

    ``pixels`` are the upright photo's, ``found`` is what was measured, ``beside`` are further rows
    of words. Raises CannotMeasure as measuring does, OSError.
    """
    seen = outlined.without_outline(layer)
    drawn = coverage.sampled(seen, givens, seed=seed, trials=trials, lens=lens)
    outline = outlined.outline_of(layer)
    _, box = workings.to_svg(drawn, found)
    behind = _inside(pixels, box)
    svg, _ = workings.to_svg(drawn, found, picture=behind, outline=outline, beside=beside)
    _write(path, svg)


def write_refused(
    path: Path, pixels: Pixels, layer: Layer, reason: str, click: Point | None = None
) -> None:
    """Write what was found of a hole that was not measured, and why it was not; raises OSError.

    ``layer`` has what was placed or found by then; an existing file is written over.
    """
    _, box = refused.to_svg(layer, reason, click=click)
    svg, _ = refused.to_svg(layer, reason, click=click, picture=_inside(pixels, box))
    _write(path, svg)


def numbered(path: Path, many: int) -> tuple[Path, ...]:
    """Return the files of so many pictures: one as it is named, several as "workings-1.png"."""
    if many == 1:
        return (path,)
    return tuple(path.with_stem(f"{path.stem}-{number}") for number in range(1, many + 1))


def _write(path: Path, svg: str) -> None:
    if path.suffix.lower() == ".png":
        path.write_bytes(_png(svg))
    else:
        path.write_text(svg, "utf-8")


def _inside(pixels: Pixels, box: Box) -> str:
    """Return a part of the photo as an address that holds the picture itself (RFC 2397)."""
    from PIL import Image  # noqa: PLC0415 - loads what only this needs

    part = pixels[box.top : box.top + box.height, box.left : box.left + box.width]
    picture = Image.fromarray(np.ascontiguousarray(part)).convert("RGB")
    picture.thumbnail((_LONGEST_PX, _LONGEST_PX))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=_QUALITY)
    return f"data:image/jpeg;base64,{base64.b64encode(written.getvalue()).decode('ascii')}"


def _png(svg: str) -> bytes:
    import typst  # noqa: PLC0415 - 40 MB that only this needs
    from PIL import Image  # noqa: PLC0415 - the same
    from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415 - the same

    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "workings.svg").write_text(svg, "utf-8")
        (folder / "page.typ").write_text(_PAGE, "utf-8")
        drawn = typst.compile(
            str(folder / "page.typ"), format="png", ppi=_PPI, root=name, ignore_system_fonts=True
        )
    # Says what it is, so that only such a one is written over.
    said, written = PngInfo(), io.BytesIO()
    said.add_text(_MADE_BY, _WORKINGS)
    with Image.open(io.BytesIO(bytes(drawn))) as picture:
        picture.save(written, "PNG", pnginfo=said, dpi=(_PPI, _PPI))
    return written.getvalue()
