"""benchproof photo: file photos at a location or a hold point, said or seen by its tag."""

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

from capture.commands.typed_options import add_book, add_by, add_json

if TYPE_CHECKING:
    from collections.abc import Callable

    from capture.edge import Edge
    from capture.intake.photo import Photo
    from capture.journey import Journey
    from store.plan import Role

EXAMPLES = """  benchproof photo job-12 IMG_0231.jpg --at C2 --role "which hole"
  benchproof photo job-12 *.heic --at P1 --role fitted --shows P1.depth
  benchproof photo job-12 scope.jpg --at G1 --role close-up --view borescope --up "deck side"
  benchproof photo job-12 *.jpg --by-tag --role close-up
  benchproof photo job-12 on.jpg --at cover --role "what closes it" """.rstrip()

# Longest side, or up to twice that, in which the tags of a photo that says --at are looked for.
_GLANCED_PX = 1024


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    add_book(parser)
    parser.add_argument("photos", metavar="FILE", type=Path, nargs="+", help="JPEG, PNG or HEIC")
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--at", metavar="LOCATION", help="where it was taken; a hold point's id for the photo of "
        "what closes it",
    )  # fmt: skip
    where.add_argument(
        "--by-tag", action="store_true", help="at the location whose tag is in the picture (so "
        "too without --at); 'benchproof tags' prints them",
    )  # fmt: skip
    parser.add_argument(
        "--role", metavar="ROLE", required=True, help="what it shows: overall, which hole, bare "
        "bore, part on the gauge, fitted, with scale, what closes it or close-up"
    )  # fmt: skip
    parser.add_argument(
        "--shows", metavar="LOCATION.CHECK", action="append", default=[],
        help="a check that it shows; may be repeated",
    )  # fmt: skip
    parser.add_argument("--gauge", metavar="ID", default="", help="the gauge in the picture")
    parser.add_argument(
        "--view", choices=("direct", "mirror", "borescope"), default="direct",
        help="a mirror or a borescope turns or mirrors the picture (direct)",
    )  # fmt: skip
    parser.add_argument(
        "--up", metavar="WORDS", default="", help='which way is up on the block: "deck side"'
    )
    parser.add_argument(
        "--keep-anyway",
        action="store_true",
        help="keep a file that can't be shown, as it is; nothing is measured on it",
    )
    parser.add_argument(
        "--stands", metavar="WORDS", default="", help="file it --at LOCATION although the tag in "
        "it is another's: why",
    )  # fmt: skip
    add_by(parser)
    add_json(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """File each photo; one that is refused does not keep the others out."""
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say_json, warn, working  # noqa: PLC0415 - the same
    from capture.errors import BadPhoto  # noqa: PLC0415 - the same
    from capture.intake.ahead import read_ahead  # noqa: PLC0415 - the same
    from capture.intake.photo import checked, read_photo  # noqa: PLC0415 - the same
    from capture.words.refusals import sentence_of  # noqa: PLC0415 - the same

    role = role_of(given.role)
    kept: list[dict[str, Any]] = []
    refused: list[dict[str, str]] = []
    with opened(given.book, edge) as journey:
        _refuse_unknown(given, journey)
        located = _located(given, journey)
        # Only tags are looked for in the pixels; one that merely contradicts, in fewer of them.
        reader = partial(checked, small_px=_GLANCED_PX) if given.at else read_photo
        read = partial(reader, keep_anyway=given.keep_anyway)
        for path, photo in read_ahead(given.photos, read):
            try:
                if isinstance(photo, BadPhoto):
                    raise photo
                with working(f"reading {path.name}"):
                    location = located(photo)
            except BadPhoto as bad:
                warn(sentence_of(bad))
                refused.append({"file": path.name, "why": sentence_of(bad)})
                continue
            kept.append(_file(given, journey, photo, location, role))
    if given.json:
        say_json({"kept": kept, "refused": refused})
    return exits.NOT_READ if refused else exits.DONE


def _refuse_unknown(given: argparse.Namespace, journey: "Journey") -> None:
    """Refuse a location, check or gauge that the plan lacks, before a photo is read."""
    if given.stands and not given.at:
        from capture.errors import WrongUse  # noqa: PLC0415 - only to refuse

        raise WrongUse("--stands says why a photo is filed --at LOCATION: name the location too")
    if given.at and given.at not in {hold.id for hold in journey.plan.hold_points}:
        journey.plan.location(given.at)
    for key in given.shows:
        journey.plan.characteristic(key)
    if given.gauge:
        journey.plan.gauge(given.gauge)


def _located(given: argparse.Namespace, journey: "Journey") -> "Callable[[Photo], str]":
    """Return what says where a photo was taken: --at, or else the tag in it.

    A tag that contradicts --at is refused, unless --stands says in words why it is filed there.
    """
    if given.at and given.at in {hold.id for hold in journey.plan.hold_points}:
        return lambda _: str(given.at)
    from capture.errors import BadPhoto  # noqa: PLC0415 - only for tags
    from capture.tagged import refuse_other_tags, tagged_location  # noqa: PLC0415 - the same
    from store.told.tags import tag_numbers  # noqa: PLC0415 - the same

    numbers = tag_numbers(journey.book.told)
    if given.at:

        def as_said(photo: "Photo") -> str:
            try:
                refuse_other_tags(photo, given.at, numbers, view=given.view)
            except BadPhoto:
                if not given.stands:
                    raise
            else:
                if given.stands:
                    raise BadPhoto(
                        f"{photo.file_name} shows no tag that contradicts --at {given.at}: leave "
                        "--stands out, it would be told to the customer"
                    )
            return str(given.at)

        return as_said
    return lambda photo: tagged_location(photo, numbers, view=given.view)


def _file(
    given: argparse.Namespace, journey: "Journey", photo: "Photo", location: str, role: "Role"
) -> dict[str, Any]:
    """File one photo and say so; return the answer for a program."""
    from capture.commands.edge import say, warn  # noqa: PLC0415 - not for a mere --help

    before = journey.filed_before(photo)
    entry = journey.add_photo(
        photo, location=location, role=role, keys=tuple(given.shows), gauge=given.gauge,
        view=given.view, up=given.up, stands=given.stands,
    )  # fmt: skip
    digest = str(getattr(entry.evidence, "photo", ""))
    if not given.json:
        by = "" if given.at else ", by its tag"
        name = f"{photo.file_name} at {location}{by} as {role}"
        say(f"kept {name}, {_size(photo)}, entry {entry.seq}, photo {digest[:12]}")
    if before:
        warn(f"{photo.file_name} was filed before, at {', '.join(before)}: is it the right photo?")
    return {
        "file": photo.file_name,
        "location": location,
        "photo": digest,
        "entry": entry.hash,
        "number": entry.seq,
        "unreadable": photo.unreadable,
        "filed_before": list(before),
    }


def _size(photo: "Photo") -> str:
    if photo.unreadable:
        return f"can't be shown: it {photo.unreadable}"
    return f"{photo.width_px} x {photo.height_px} px"


def role_of(text: str) -> "Role":
    """Return the role of these words; raises WrongUse naming those there are."""
    from capture.errors import WrongUse  # noqa: PLC0415 - not for a mere --help
    from store.plan import Role  # noqa: PLC0415 - the same

    roles: tuple[Role, ...] = get_args(Role)
    for role in roles:
        if role == text.strip().lower():
            return role
    raise WrongUse(f"--role {text!r} is not one of {', '.join(roles)}")
