"""How a measurement came about -> a picture file: SVG with the photo inside, or PNG of the same."""

import base64
import io
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import numpy.typing as npt

from annotate import coverage
from annotate.drawings import faces, refused, refused_sheets, workings
from annotate.drawings import lens as lens_drawing
from annotate.drawings.pen import Box
from annotate.flat_face.left_over import left_over
from annotate.givens import Givens
from annotate.marks import Chessboard, Layer, Marker, PixelPair, Point
from annotate.optics.calibration import corners_off_px
from annotate.optics.profile import LensProfile
from annotate.result import Coverage
from annotate.routes import outlined
from capture.errors import WrongUse
from capture.faces import Surveyed
from capture.intake.photo import read_photo
from capture.lenses import Made

SUFFIXES = (".svg", ".png")
_LONGEST_PX = 1600  # of the photo inside: enough for any screen
_SMALL_PX = 800  # of one of many photos
_QUALITY = 85
_PPI = 144.0
_MADE_BY = "Software"  # a keyword of PNG's own
_WORKINGS = "benchproof: workings of a "
_HEAD_BYTES = 1000  # in which an SVG says what it is
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
            return f"<desc>{_WORKINGS}".encode() in file.read(_HEAD_BYTES)
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - loads what only this needs

    try:
        with Image.open(path) as picture:
            return str(picture.info.get(_MADE_BY)).startswith(_WORKINGS)
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
    _write(path, svg, "coverage")


def write_refused(
    path: Path, pixels: Pixels, layer: Layer, reason: str, click: Point | None = None
) -> None:
    """Write what was found of a hole that was not measured, and why it was not; raises OSError.

    ``layer`` has what was placed or found by then; an existing file is written over.
    """
    _, box = refused.to_svg(layer, reason, click=click)
    svg, _ = refused.to_svg(layer, reason, click=click, picture=_inside(pixels, box))
    _write(path, svg, "coverage")


def numbered(path: Path, many: int) -> tuple[Path, ...]:
    """Return the files of so many pictures: one as it is named, several as "workings-1.png"."""
    if many == 1:
        return (path,)
    return tuple(path.with_stem(f"{path.stem}-{number}") for number in range(1, many + 1))


def write_face(path: Path, pixels: Pixels, surveyed: Surveyed, words: Sequence[str]) -> None:
    """Write how the lengths on a face came about; an existing file is written over.

    ``words`` are what is said of each hole; one at least was measured. Raises OSError.
    """
    at = {n: k for k, n in enumerate(surveyed.looked.surveyed())}
    holes = [
        faces.Labelled(n, hole.click, said, at.get(n))
        for n, (hole, said) in enumerate(zip(surveyed.face.holes, words, strict=True))
        if hole.same_as is None
    ]
    left = left_over(surveyed.scale, surveyed.edges)
    size = (pixels.shape[1], pixels.shape[0])
    _write(path, faces.to_svg(left, holes, size, lambda box: _inside(pixels, box)), "face")


def write_lens(path: Path, photos: Sequence[Path], made: Made) -> None:
    """Write how a lens profile came about; the photos are read again. Raises BadPhoto, OSError."""
    views = []
    for photo, view, board in zip(photos, made.views, made.boards, strict=True):
        off = corners_off_px(board, made.profile) if board else None
        if board is None or off is None:
            continue
        pixels = read_photo(photo).pixels
        image = "" if pixels is None else _small(pixels)
        corners = np.asarray(board.corners_px, dtype=np.float64)
        # A photo that was left out took no part in the lens: what is said of it is of this lens.
        others = None if view.left_out else view.rms_px
        views.append(lens_drawing.View(view.photo, view.left_out, corners, off, image, others))
    _write(path, lens_drawing.to_svg(made.profile, views), "lens")


def write_refused_face(
    path: Path,
    pixels: Pixels,
    target: Marker | Chessboard | None,
    clicked: Sequence[tuple[PixelPair, str]],
    reason: str,
) -> None:
    """Write what was found of a face of which nothing was measured, and why; raises OSError.

    ``target`` is None where it was not found; ``clicked`` has each click with its own reason, ""
    for none besides ``reason``.
    """
    holes = [refused_sheets.Clicked(n, *each) for n, each in enumerate(clicked)]
    corners = np.array([] if target is None else target.corners_px, np.float64).reshape(-1, 2)
    size = (pixels.shape[1], pixels.shape[0])
    svg = refused_sheets.face_svg(corners, holes, reason, size, lambda box: _inside(pixels, box))
    _write(path, svg, "face")


def write_refused_lens(path: Path, found: Sequence[tuple[Path, Chessboard]], reason: str) -> None:
    """Write the boards (one at least) that gave no lens profile, and why; reads the photos again.

    Raises BadPhoto, OSError.
    """
    boards = []
    for photo, board in found:
        read = read_photo(photo)
        image = "" if read.pixels is None else _small(read.pixels)
        size = (read.width_px or 1, read.height_px or 1)
        corners = np.asarray(board.corners_px, dtype=np.float64)
        boards.append(refused_sheets.Board(photo.name, size, corners, image))
    _write(path, refused_sheets.lens_svg(boards, reason), "lens")


def _small(pixels: Pixels) -> str:
    """Return one of many photos as an address."""
    return _inside(pixels, _all_of(pixels), longest=_SMALL_PX)


def _all_of(pixels: Pixels) -> Box:
    return Box(0, 0, pixels.shape[1], pixels.shape[0])


def _write(path: Path, svg: str, what: str) -> None:
    """Write a drawing that says in itself what it is, so that only such a one is written over."""
    head, rest = svg.split(">", 1)
    svg = f"{head}><desc>{_WORKINGS}{what}</desc>{rest}"
    if path.suffix.lower() == ".png":
        path.write_bytes(_png(svg, _WORKINGS + what))
    else:
        path.write_text(svg, "utf-8")


def _inside(pixels: Pixels, box: Box, *, longest: int = _LONGEST_PX) -> str:
    """Return a part of the photo as an address that holds the picture itself (RFC 2397)."""
    from PIL import Image  # noqa: PLC0415 - loads what only this needs

    part = pixels[box.top : box.top + box.height, box.left : box.left + box.width]
    picture = Image.fromarray(np.ascontiguousarray(part)).convert("RGB")
    picture.thumbnail((longest, longest))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=_QUALITY)
    return f"data:image/jpeg;base64,{base64.b64encode(written.getvalue()).decode('ascii')}"


def _png(svg: str, made: str) -> bytes:
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
    said, written = PngInfo(), io.BytesIO()
    said.add_text(_MADE_BY, made)
    with Image.open(io.BytesIO(bytes(drawn))) as picture:
        picture.save(written, "PNG", pnginfo=said, dpi=(_PPI, _PPI))
    return written.getvalue()
