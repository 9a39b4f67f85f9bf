"""benchproof photo: file photos at a location."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from capture.commands.typed_options import add_by

if TYPE_CHECKING:
    from capture.commands.edge import Edge
    from store.plan import Role

EXAMPLES = """  benchproof photo job-12 IMG_0231.jpg --at C2 --role "which hole"
  benchproof photo job-12 *.heic --at P1 --role fitted"""


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of this verb."""
    parser.add_argument("book", metavar="BOOK", type=Path, help="the book's folder")
    parser.add_argument("photos", metavar="FILE", type=Path, nargs="+", help="JPEG, PNG or HEIC")
    parser.add_argument("--at", metavar="LOCATION", required=True, help="where it was taken")
    parser.add_argument(
        "--role", metavar="ROLE", required=True, help="what it shows: overall, which hole, bare "
        "bore, part on the gauge, fitted, with scale, what closes it or close-up"
    )  # fmt: skip
    parser.add_argument(
        "--keep-anyway",
        action="store_true",
        help="keep a file that can't be shown, as it is; nothing is measured on it",
    )
    add_by(parser)


def run(given: argparse.Namespace, edge: "Edge") -> int:
    """File each photo; one that is refused does not keep the others out."""
    from capture.commands import exits  # noqa: PLC0415 - not for a mere --help
    from capture.commands.books import opened  # noqa: PLC0415 - the same
    from capture.commands.edge import say, warn, working  # noqa: PLC0415 - the same
    from capture.errors import BadPhoto  # noqa: PLC0415 - the same
    from capture.intake.photo import read_photo  # noqa: PLC0415 - the same

    role = role_of(given.role)
    worst = exits.DONE
    with opened(given.book, edge) as journey:
        journey.plan.location(given.at)
        for path in given.photos:
            try:
                with working(f"reading {path.name}"):
                    photo = read_photo(path, keep_anyway=given.keep_anyway)
            except BadPhoto as refused:
                warn(exits.sentence_of(refused))
                worst = exits.NOT_READ
                continue
            entry = journey.add_photo(photo, location=given.at, role=role)
            size = (
                f"can't be shown: it {photo.unreadable}"
                if photo.unreadable
                else f"{photo.width_px} x {photo.height_px} px"
            )
            say(f"kept {path.name} at {given.at} as {role}, {size}, entry {entry.seq}")
    return worst


def role_of(text: str) -> "Role":
    """Return the role of these words; raises WrongUse naming those there are."""
    from capture.errors import WrongUse  # noqa: PLC0415 - not for a mere --help
    from store.plan import Role  # noqa: PLC0415 - the same

    roles: tuple[Role, ...] = get_args(Role)
    for role in roles:
        if role == text.strip().lower():
            return role
    raise WrongUse(f"--role {text!r} is not one of {', '.join(roles)}")
