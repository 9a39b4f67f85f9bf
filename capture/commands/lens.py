"""benchproof lens: measure a camera's lens on photos of a printed chessboard."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from capture.commands.typed_options import add_json, typed_board

if TYPE_CHECKING:
    from capture.edge import Edge
    from capture.lenses import Made, NoProfile

DEFAULT = Path("lens.toml")
EXAMPLES = """  benchproof lens board*.jpg --chessboard "9x6x25 mm"
  benchproof lens board-1.jpg board-2.jpg ... board-12.jpg --chessboard "9x6x25 mm" \\
      -o close-up.toml
  benchproof coverage hole.jpg --click 812,604 --near-diameter "8.05 mm" --lens close-up.toml"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument(
        "photo", metavar="PHOTO", type=Path, nargs="+",
        help="the board at one zoom, tilted to another side in each; best 10 or more",
    )  # fmt: skip
    parser.add_argument(
        "--chessboard",
        metavar="COLSxROWSxSQUARE",
        required=True,
        help="inner corners x inner corners x side of a square",
    )
    parser.add_argument(
        "-o", "--output", metavar="PROFILE.toml", type=Path,
        help=f"the profile's new file; by default {DEFAULT} in this folder, if there is none yet",
    )  # fmt: skip
    parser.add_argument(
        "--picture", metavar="OUT", type=Path, help="draw how it came about: the corners in every "
        "photo, how far each lies off, how the lens bends; on a refusal the boards found; .svg or "
        ".png",
    )  # fmt: skip
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - every verb has the same form
    """Make the profile, write it to a new file, and say how well the photos go together."""
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from capture.commands.edge import say, say_json, working  # noqa: PLC0415 - the same
    from capture.commands.pictures import refuse_picture  # noqa: PLC0415 - the same
    from capture.commands.plan_files import keep, refuse_taken  # noqa: PLC0415 - the same
    from capture.lenses import NoProfile, make_profile, profile_text  # noqa: PLC0415 - the same

    columns, rows, square, _ = typed_board(given.chessboard)  # its size alters no pixel
    if given.picture:
        refuse_picture(given.picture)
    if given.output:
        refuse_taken(given.output)
    with working("reading the photos") as now:
        try:
            made = make_profile(given.photo, columns, rows, square, progress=now)
        except NoProfile as refused:
            if given.picture:
                now("drawing")
                _draw_refused(given.picture, refused)
            raise
        if given.picture:
            now("drawing")
            _draw(given.picture, given.photo, made)
    # A default name takes nobody's place: what was measured is still told.
    target = given.output or (None if DEFAULT.exists() else DEFAULT)
    if target:
        keep(target, profile_text(made))
    if given.json:
        say_json(_answer(made, target))
        return exits.DONE
    for line in _lines(made):
        say(line)
    if target:
        say(f"written  {target}")
    else:
        say(f"note     nothing was written: {DEFAULT} is there already, -o NAME.toml names another")
    return exits.DONE


def _draw(path: Path, photos: list[Path], made: "Made") -> None:
    from capture.commands.pictures import writing  # noqa: PLC0415 - only with a picture
    from capture.shown import write_lens  # noqa: PLC0415 - the same

    with writing(path):
        write_lens(path, photos, made)


def _draw_refused(path: Path, refused: "NoProfile") -> None:
    from capture.commands.edge import warn  # noqa: PLC0415 - only with a picture
    from capture.commands.pictures import writing  # noqa: PLC0415 - the same
    from capture.shown import write_refused_lens  # noqa: PLC0415 - the same

    if not refused.found:
        warn("no picture was drawn: no board was found")
        return
    with writing(path):
        write_refused_lens(path, refused.found, str(refused))
    warn(f"{path} shows the boards that were found, and the reason")


def _answer(made: "Made", output: Path | None) -> dict[str, Any]:
    from msgspec import to_builtins  # noqa: PLC0415 - --json only

    return {
        "lens": {
            **to_builtins(made.profile),
            "u_focal_px": made.profile.u_focal_px,
            "u_centre_px": made.profile.u_centre_px,
            "u_barrel": made.profile.u_barrel,
            "focal_35mm": made.profile.focal_35mm,
            "reach": made.profile.reach,
        },
        "photos": [
            {
                "name": view.photo,
                "rms_px": view.rms_px,
                "used": not view.left_out,
                "reason": view.left_out,
            }
            for view in made.views
        ],
        "used": made.used,
        "tilt_spread_deg": made.tilt_spread_deg,
        "written": None if output is None else str(output),
        "warnings": _notes(made),
    }


def _lines(made: "Made") -> list[str]:
    lens = made.profile
    wide = max(len(view.photo) for view in made.views)
    photos = [
        f"{view.photo:<{wide}}  "
        + (f"{view.rms_px:.2f} px" if view.rms_px is not None else "no board")
        + (f"  LEFT OUT: {view.left_out}" if view.left_out else "")
        for view in made.views
    ]
    return [
        *photos,
        f"photos   {made.used} of {len(made.views)} used, {lens.width_px} x {lens.height_px} px",
        f"corners  {lens.rms_px:.2f} px rms from where this lens shows them",
        f"focal    {lens.focal_px:.1f} px, u = {lens.u_focal_px:.1f} px",
        f"centre   {lens.cx:.1f}, {lens.cy:.1f} px, u = {lens.u_centre_px:.1f} px",
        f"bending  {100 * lens.barrel():.2f} % at the corner, u = {100 * lens.u_barrel:.2f} %",
        *(f"note     {words}" for words in _notes(made)),
    ]


_FAR_OUT = 0.85


def _notes(made: "Made") -> list[str]:
    told = []
    if made.profile.reach < _FAR_OUT:
        told.append(
            f"no corner lay farther out than {100 * made.profile.reach:.0f} % of the way to the "
            "picture's corner: beyond it the profile is a guess, bring the board into the corners"
        )
    if made.profile.focal_35mm is None:
        told.append("the files do not all state a focal length: use it at this zoom only")
    return told
