"""benchproof measure: holes and distances on a flat face, by a printed target lying on it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from capture.commands.typed_options import (
    add_json,
    add_lens,
    focal_mm,
    pixel_pair,
    typed_board,
    typed_length,
    typed_offset,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from annotate.marks import Chessboard, Marker, PixelPair
    from annotate.quantity import Quantity
    from capture.edge import Edge
    from capture.faces import Surveyed
    from capture.intake.photo import Photo
    from capture.shown import Pixels
    from capture.told_of_faces import Face

EXAMPLES = """  benchproof measure face.jpg --marker "25 mm" --click 412,380
  benchproof measure face.jpg --chessboard "7x5x5 mm" --click 412,380 --click 900,377 --json
  benchproof measure face.jpg --marker "25 mm" --click 412,380 --plain
  benchproof measure face.jpg --marker "25 mm" --click 412,380 --lens close-up.toml
  benchproof measure face.jpg --marker "25 mm" --click 412,380 --behind "3 mm +- 0.5 mm" \\
      --picture workings.png"""

_PLAIN = "no hole has a chamfer, as typed: of one that has, its edge in the face is measured"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("photo", metavar="PHOTO", type=Path, help="a JPEG, PNG or HEIC photo")
    target = parser.add_mutually_exclusive_group(required=True)
    target.add_argument("--marker", metavar="SIDE", help="outer edge of the marker's black square")
    target.add_argument(
        "--chessboard",
        metavar="COLSxROWSxSQUARE",
        help="inner corners x inner corners x side of a square",
    )
    parser.add_argument(
        "--click",
        type=pixel_pair,
        metavar="X,Y",
        action="append",
        required=True,
        help="inside a hole; once for each",
    )
    parser.add_argument(
        "--plain",
        action="store_true",
        help="no hole has a chamfer: an edge that shows on a part only is the drilled one",
    )
    parser.add_argument(
        "--behind",
        metavar="LENGTH",
        help="the holes' edges lie so far behind the target's plane and parallel to it, as under a "
        'stiff card that stands off the face: "3 mm +- 0.5 mm"; in front of it: "-2 mm"',
    )
    parser.add_argument(
        "--focal-35mm", type=focal_mm, metavar="MM", help="35 mm equivalent, if the file lacks it"
    )
    add_lens(parser)
    parser.add_argument(
        "--picture",
        metavar="OUT",
        type=Path,
        help="draw how it came about over the photo: target, edges, points found and left out, how "
        "far each lies off; on a refusal what was found; .svg or .png",
    )
    add_json(parser)


class _Target(NamedTuple):
    """The printed target as typed: a marker if it has no columns; the edges lie ``behind`` it."""

    columns: int
    rows: int
    size: "Quantity"
    noted: tuple[str, ...]
    behind: "Quantity | None" = None


def run(given: argparse.Namespace, edge: "Edge") -> int:  # noqa: ARG001 - every verb has the same form
    """Measure and say it; nothing measured at all ends with its own exit code."""
    from annotate.errors import AnnotateError  # noqa: PLC0415 - not for a mere --help
    from capture.commands import exits  # noqa: PLC0415 - the same
    from capture.commands.edge import say, say_json, warn, working  # noqa: PLC0415 - the same
    from capture.commands.face_answer import face_answer, face_lines  # noqa: PLC0415 - the same
    from capture.errors import BadPhoto, BadProfile  # noqa: PLC0415 - the same
    from capture.intake.photo import coming  # noqa: PLC0415 - the same
    from capture.words.refusals import sentence_of  # noqa: PLC0415 - the same

    target = _target(given)
    if given.picture:
        from capture.commands.pictures import refuse_picture  # noqa: PLC0415 - only with a picture

        refuse_picture(given.picture)
    noted = (*target.noted, *((_PLAIN,) if given.plain else ()))
    seen = _Seen()
    try:
        with coming(given.photo) as photo, working("measuring") as now:
            of_lens, surveyed = _measure(given, photo, target, seen)
            face, noted = surveyed.face, (*noted, *of_lens)
            if given.picture and surveyed.edges:
                now("drawing")
                _draw(given.picture, seen.pixels, surveyed)
    except (BadPhoto, BadProfile, AnnotateError) as refused:
        reason = sentence_of(refused)
        if given.json:
            say_json(face_answer(_nothing(given, reason, target.behind), noted))
        warn(reason)
        if given.picture:
            _draw_refused(given.picture, seen, [(click, "") for click in given.click], reason)
        return exits.NOT_READ
    from capture.words.behind import note  # noqa: PLC0415 - not for a mere --help

    noted = (note(face), *noted) if note(face) else noted
    if given.json:
        say_json(face_answer(face, noted))
    else:
        for line in face_lines(face, noted):
            say(line)
    if given.picture and not surveyed.edges:
        reasons = zip(given.click, surveyed.looked.reasons, strict=True)
        _draw_refused(given.picture, seen, list(reasons), "")
    return _code(face)


class _Seen:
    """What of a photo was read and found by now: a refusal leaves it for the picture."""

    pixels: "Pixels | None" = None
    target: "Marker | Chessboard | None" = None


def _target(given: argparse.Namespace) -> _Target:
    if given.marker is not None:
        target = _Target(0, 0, *typed_length(given.marker, "--marker"))
    else:
        target = _Target(*typed_board(given.chessboard))
    if given.behind is None:
        return target
    behind, assumed = typed_offset(given.behind, "--behind")
    return target._replace(behind=behind, noted=(*target.noted, *assumed))


def _measure(
    given: argparse.Namespace, coming: "Callable[[], Photo]", target: _Target, seen: _Seen
) -> "tuple[tuple[str, ...], Surveyed]":
    # Loaded while the photo is being decoded.
    from capture import faces, layers, lenses  # noqa: PLC0415 - not for a mere --help

    photo = coming()
    seen.pixels = photo.pixels
    layer = layers.bare_layer(photo, focal_35mm=given.focal_35mm)
    layers.refuse_outside(layer, given.click)
    profile = lenses.read_profile(given.lens) if given.lens else None
    lens = profile.used_on(layer) if profile else None
    found: Marker | Chessboard
    if target.columns:
        found = faces.find_chessboard(photo, target.columns, target.rows, target.size)
    else:
        found = layers.find_marker(photo, target.size)
    seen.target = found
    noted = lenses.turned_notes(profile, layer)
    return (
        noted,
        faces.survey_face(
            photo, layer, found, given.click, lens=lens, plain=given.plain, behind=target.behind
        ),
    )


def _draw(path: Path, pixels: "Pixels | None", surveyed: "Surveyed") -> None:
    """Write the picture of how a face's lengths came about; raises CannotWrite."""
    from capture.commands.pictures import writing  # noqa: PLC0415 - only with a picture
    from capture.shown import write_face  # noqa: PLC0415 - the same
    from capture.words.quantities import result_text  # noqa: PLC0415 - the same

    if pixels is None:
        return
    words = [result_text(hole.diameter) for hole in surveyed.face.holes]
    with writing(path):
        write_face(path, pixels, surveyed, words)


def _draw_refused(
    path: Path, seen: _Seen, clicked: "list[tuple[PixelPair, str]]", reason: str
) -> None:
    """Write the picture of what was found where nothing was measured; raises CannotWrite."""
    from capture.commands.edge import warn  # noqa: PLC0415 - only with a picture
    from capture.commands.pictures import writing  # noqa: PLC0415 - the same
    from capture.shown import write_refused_face  # noqa: PLC0415 - the same

    if seen.pixels is None:
        warn("no picture was drawn: the photo could not be read")
        return
    with writing(path):
        write_refused_face(path, seen.pixels, seen.target, clicked, reason)
    warn(f"{path} shows what was found, and the reason")


def _nothing(given: argparse.Namespace, reason: str, behind: "Quantity | None") -> "Face":
    from annotate.result import Unknown  # noqa: PLC0415 - only when nothing was measured
    from capture.told_of_faces import Apart, Face, Hole  # noqa: PLC0415 - the same

    many, unknown = range(len(given.click)), Unknown(reason)
    return Face(
        holes=tuple(Hole(click, unknown) for click in given.click),
        pairs=tuple(Apart(a, b, unknown) for a in many for b in many if a < b),
        behind=behind,
    )


def _code(face: "Face") -> int:
    from annotate.result import Known  # noqa: PLC0415 - not for a mere --help
    from capture.commands import exits  # noqa: PLC0415 - the same

    told = (*(hole.diameter for hole in face.holes), *(pair.distance for pair in face.pairs))
    return exits.DONE if any(isinstance(each, Known) for each in told) else exits.NOT_READ
