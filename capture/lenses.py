"""Photos of a printed chessboard -> a lens profile, kept as a file that other photos are given."""

import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path

import msgspec

from annotate.errors import BadMark, CannotMeasure
from annotate.fit import FitFailed
from annotate.marks import Chessboard, Layer
from annotate.optics.profile import LensProfile
from annotate.quantity import Quantity
from capture.errors import BadPhoto, BadProfile
from capture.faces import find_chessboard
from capture.intake.kind import UNKNOWN, recognise
from capture.intake.photo import Photo, read_photo

WHAT = "lens profile"
_LARGEST_BYTES = 100_000
_SAME_ZOOM = 0.01  # of the focal lengths that the files state
_TURNED = (
    "the lens profile's photos were held the other way, upright or across: which way the camera "
    "was turned is not known, so where its axis meets the picture is taken as less sure"
)
_HEAD = """\
# Lens profile: how one camera bends its pictures, from photos of a printed chessboard.
# Right for this camera at this zoom; give it to coverage or measure as --lens FILE.
# Pixels of the upright picture, (0, 0) the centre of its first pixel. fx, fy: focal length; cx, cy:
# where the optical axis meets the picture; k1, k2, k3 (radial) and p1, p2 (tangential): OpenCV's
# distortion terms. u_...: standard uncertainties, from leaving out one photo after the other;
# u_barrel is what stays open of the distortion at the corner, as a part of the half diagonal.
# reach: how far out corners were seen, as a part of the half diagonal.
"""


class ViewUsed(msgspec.Struct, frozen=True, omit_defaults=True):
    """One photo of the board: rms of its corners in pixels, and why it was left out, if it was."""

    photo: str
    rms_px: float | None = None
    left_out: str = ""


class Made(msgspec.Struct, frozen=True):
    """A lens profile and the photos it was made of, in the order given.

    ``boards`` are the boards that were found in them, None where there was none.
    """

    profile: LensProfile
    views: tuple[ViewUsed, ...]
    tilt_spread_deg: float
    boards: tuple[Chessboard | None, ...] = ()

    @property
    def used(self) -> int:
        """Return how many photos were used."""
        return sum(not view.left_out for view in self.views)


class NoProfile(CannotMeasure):
    """No lens profile was made; ``found`` are the photos with a board in them, and the boards."""

    def __init__(self, reason: str, found: Sequence[tuple[Path, Chessboard]]) -> None:
        super().__init__(reason)
        self.found = tuple(found)


def make_profile(
    paths: Sequence[Path],
    columns: int,
    rows: int,
    square: Quantity,
    *,
    progress: Callable[[str], None] = lambda _: None,
) -> Made:
    """Return the lens profile that photos of one chessboard give.

    A photo that shows no board, or is bad, is left out with the reason. Raises NoProfile, saying
    what to photograph, where too few are left or they do not tell; CannotMeasure for photos that
    are not of one camera at one zoom; BadPhoto.
    """
    from annotate.optics.calibration import calibrated  # noqa: PLC0415 - loads what only this needs

    _refuse_twice(paths)
    size: tuple[int, int] | None = None
    focal: list[float | None] = []
    found: list[Chessboard | str] = []
    for path in paths:
        progress(f"looking for the board in {path.name}")
        photo = read_photo(path)
        board = _board(photo, columns, rows, square)
        if isinstance(board, Chessboard):
            here = (photo.width_px or 0, photo.height_px or 0)
            size = size or here
            _refuse_other(photo.file_name, here, size)
            focal.append(photo.focal_35mm)
        found.append(board)
    boards = [board for board in found if isinstance(board, Chessboard)]
    progress("working out the lens")
    zoom = _one_zoom(focal)
    made = calibrated(boards, *(size or (1, 1)))
    if isinstance(made, FitFailed):
        there = [(p, b) for p, b in zip(paths, found, strict=True) if isinstance(b, Chessboard)]
        raise NoProfile(_with_left_out(made.reason, paths, found), there)
    of_boards = iter(made.views)
    views = []
    for path, board in zip(paths, found, strict=True):
        if isinstance(board, str):
            views.append(ViewUsed(path.name, left_out=board))
            continue
        view = next(of_boards)
        why = "" if view.used else "its corners do not go with the camera of the other photos"
        views.append(ViewUsed(path.name, view.rms_px, why))
    profile = msgspec.structs.replace(made.profile, focal_35mm=zoom)
    seen = tuple(board if isinstance(board, Chessboard) else None for board in found)
    return Made(profile, tuple(views), made.tilt_spread_deg, seen)


def profile_text(made: Made) -> str:
    """Return the text of a profile's file, which ``read_profile`` reads back as an equal one."""
    lines = [_HEAD, "[lens]"]
    for name, value in msgspec.to_builtins(made.profile).items():
        if value is not None:
            lines.append(f"{name} = {value!r}")
    for view in made.views:
        lines += ["", "[[photo]]", f"name = {_quoted(view.photo)}"]
        if view.rms_px is not None:
            lines.append(f"rms_px = {view.rms_px:.4f}")
        if view.left_out:
            lines.append(f"left_out = {_quoted(view.left_out)}")
    return "\n".join(lines) + "\n"


def read_profile(path: Path) -> LensProfile:
    """Return the profile in a file that ``benchproof lens`` wrote; raises BadProfile."""
    advice = "make one with: benchproof lens"
    if not path.exists():
        raise BadProfile(f"there is no file {path}: check the name and the folder, or {advice}")
    if path.is_dir():
        raise BadProfile(f"{path} is a folder, no lens profile: name the file; {advice}")
    try:
        with path.open("rb") as file:
            content = file.read(_LARGEST_BYTES + 1)
    except OSError as error:
        why = error.strerror or "unknown reason"
        raise BadProfile(f"{path} can't be read ({why}): copy it to this computer") from error
    kind = recognise(content)
    if kind != UNKNOWN:
        raise BadProfile(f"{path.name} is a {kind.name}, no lens profile; {advice}")
    if len(content) > _LARGEST_BYTES:
        raise BadProfile(f"{path.name} is no lens profile, it is too large; {advice}")
    try:
        table = tomllib.loads(content.decode("utf-8"))["lens"]
        return msgspec.convert(table, LensProfile)
    except KeyError as error:
        raise BadProfile(f"{path.name} is no lens profile, it has no [lens]; {advice}") from error
    except UnicodeDecodeError as error:
        raise BadProfile(f"{path.name} is no lens profile, it is no text; {advice}") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadProfile(f"{path.name} is no lens profile: {error}; {advice}") from error
    except (msgspec.ValidationError, BadMark) as error:
        raise BadProfile(f"{path.name} is no sound lens profile: {error}; {advice}") from error


def turned_notes(profile: LensProfile | None, layer: Layer) -> tuple[str, ...]:
    """Return what is to be said where a profile's photos were held the other way than this one."""
    if profile is None or not profile.is_turned_on(layer):
        return ()
    return (_TURNED,)


def _board(photo: Photo, columns: int, rows: int, square: Quantity) -> Chessboard | str:
    try:
        return find_chessboard(photo, columns, rows, square)
    except CannotMeasure as refused:
        return refused.reason


def _refuse_twice(paths: Sequence[Path]) -> None:
    seen = set()
    for path in paths:
        if path.resolve() in seen:
            raise BadPhoto(f"{path.name} is given twice: a view counts once, leave one out")
        seen.add(path.resolve())


def _refuse_other(name: str, here: tuple[int, int], size: tuple[int, int]) -> None:
    if here != size:
        raise CannotMeasure(
            f"{name} has {here[0]} x {here[1]} pixels, the first photo of the board {size[0]} x "
            f"{size[1]}",
            "take all with one setting, the camera held the same way round",
        )


def _one_zoom(focal: Sequence[float | None]) -> float | None:
    """Return the 35 mm equivalent that all files state, None if any is silent."""
    stated = [each for each in focal if each is not None]
    if stated and max(stated) > min(stated) * (1 + _SAME_ZOOM):
        raise CannotMeasure(
            f"the photos were taken at {min(stated):g} to {max(stated):g} mm (35 mm equivalent)",
            "take all at one zoom",
        )
    return stated[0] if stated and len(stated) == len(focal) else None


def _with_left_out(reason: str, paths: Sequence[Path], found: Sequence[Chessboard | str]) -> str:
    without = [
        path.name for path, board in zip(paths, found, strict=True) if isinstance(board, str)
    ]
    if not without:
        return reason
    return f"{reason} (no board was found in {', '.join(without)})"


def _quoted(text: str) -> str:
    """Return a TOML basic string: JSON's quoting, which TOML shares but for DEL."""
    return msgspec.json.encode(text).decode("utf-8").replace("\x7f", "\\u007f")
