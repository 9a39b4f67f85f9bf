"""The changes of ``benchproof change``: each one's options, and what they ask for."""

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from capture.errors import WrongUse

if TYPE_CHECKING:
    from pathlib import Path

    from capture.journey import Journey
    from store.change import Change

_KINDS = (
    "coverage", "length", "depth", "angle", "torque", "pressure", "time", "count", "pin",
    "yes-no", "note", "computed", "agreement",
)  # fmt: skip
_TAKES = ("mean", "largest", "smallest", "range", "out-of-round", "taper")
_ROLES = (
    "overall", "which hole", "bare bore", "part on the gauge", "fitted", "with scale",
    "what closes it", "close-up",
)  # fmt: skip


def _listed(text: str) -> list[str]:
    """Return the words of "front,rear"."""
    return [word.strip() for word in text.split(",") if word.strip()]


def _location_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("id", metavar="ID", help="its id: letters, figures, - and _")
    own.add_argument("--name", metavar="TEXT", required=True, help="where it is, in your words")
    own.add_argument("--after", metavar="ID", default="", help="in the round (default: last)")
    own.add_argument("--plug", action="store_true", help="a plug belongs here")
    own.add_argument("--gallery", action="store_true", help="a passage, logged clean")
    own.add_argument("--group", metavar="TEXT", default="", help="of those easily mixed up")
    own.add_argument("--near", metavar="TEXT", help="what the near hole is called")
    own.add_argument("--far", metavar="TEXT", help="what the far hole is called")


def _location_added(given: argparse.Namespace, _: "Journey") -> "Change":
    from store.change import LocationAdded  # noqa: PLC0415 - not for a mere --help
    from store.plan import Location  # noqa: PLC0415 - the same

    holes = {name: getattr(given, name) for name in ("near", "far") if getattr(given, name)}
    location = Location(
        given.id, given.name, plug=given.plug, gallery=given.gallery, group=given.group, **holes
    )
    return LocationAdded(location, given.after)


def _check_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("location", metavar="LOCATION", help="where it is asked")
    own.add_argument("id", metavar="ID", help="its key is then LOCATION.ID")
    own.add_argument("--kind", choices=_KINDS, required=True)
    own.add_argument("--question", metavar="TEXT", required=True, help="what the bench asks")
    own.add_argument("--unit", metavar="UNIT", help="of a number typed without one")
    own.add_argument("--asks", metavar="TEXT", help="the limit still to be looked up")
    own.add_argument("--datum", metavar="TEXT", help="what a depth is measured from")
    own.add_argument("--gauge", metavar="ID", help="the gauge usually used")
    own.add_argument("--instrument", metavar="TEXT", help="its kind, where any will do")
    own.add_argument("--positions", metavar="A,B", type=_listed, help="one reading at each")
    own.add_argument("--axes", metavar="A,B", type=_listed, help="and in each direction")
    own.add_argument("--repeats", metavar="N", type=int, help="how many times over")
    own.add_argument("--take", choices=_TAKES, help="the number made of them (default: mean)")
    own.add_argument("--formula", metavar="TEXT", help="of other checks, by LOCATION.CHECK")
    own.add_argument(
        "--of", metavar="KEY", nargs=2, help="the two checks that an agreement compares"
    )
    own.add_argument("--part", metavar="ID", help="whose replacement voids it")
    own.add_argument("--found", action="store_true", help="first measured as found")
    own.add_argument("--material", metavar="TEXT", help="of what is measured")
    for hole in ("near", "far", "bore"):
        own.add_argument(f"--{hole}-diameter", metavar="LENGTH", help="of a coverage")
    own.add_argument("--wall", metavar="LENGTH", help="of a coverage")
    own.add_argument("--flat", action="store_true", help="of a coverage: no bore")
    own.add_argument("--caution", metavar="TEXT", help="what can hurt somebody")


_WRITTEN = (
    "id", "kind", "question", "unit", "asks", "datum", "gauge", "instrument", "positions", "axes",
    "repeats", "take", "formula", "of", "part", "found", "material", "near_diameter",
    "far_diameter", "bore_diameter", "wall", "flat", "caution",
)  # fmt: skip


def _check_added(given: argparse.Namespace, journey: "Journey") -> "Change":
    from capture.additions import check_of  # noqa: PLC0415 - not for a mere --help
    from store.change import CheckAdded  # noqa: PLC0415 - the same

    written: dict[str, Any] = {name: getattr(given, name) for name in _WRITTEN}
    return CheckAdded(given.location, check_of(written, journey.plan.job))


def _rename_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("location", metavar="LOCATION", help="its id, which stays")
    own.add_argument("--name", metavar="TEXT", required=True, help="what it is called from now on")


def _renamed(given: argparse.Namespace, _: "Journey") -> "Change":
    from store.change import LocationRenamed  # noqa: PLC0415 - not for a mere --help

    return LocationRenamed(given.location, given.name)


def _move_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("location", metavar="LOCATION", help="what is walked at another turn")
    own.add_argument("--after", metavar="ID", required=True, help='another location, or "first"')


def _moved(given: argparse.Namespace, _: "Journey") -> "Change":
    from store.change import LocationMoved  # noqa: PLC0415 - not for a mere --help

    return LocationMoved(given.location, given.after)


def _never_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("location", metavar="LOCATION", help="what this block never had")
    own.add_argument(
        "--photo", metavar="FILE", required=True,
        help="the bare place: a photo, or the start of the hash of one filed there",
    )  # fmt: skip


def _never_fitted(given: argparse.Namespace, journey: "Journey") -> "Change":
    from pathlib import Path  # noqa: PLC0415 - beside its use

    from store.change import NeverFitted  # noqa: PLC0415 - not for a mere --help

    place = journey.round().place(given.location)
    filed = [photo.taken.photo for photo in place.photos if photo.struck is None]
    if Path(given.photo).is_file():
        return NeverFitted(given.location, _filed(Path(given.photo), given.location, journey))
    found = [photo for photo in filed if photo.startswith(given.photo.lower())]
    if len(found) != 1:
        raise WrongUse(
            f"{given.photo} is no file, and the hash of no photo at {given.location}: name the "
            "photo of the bare place"
        )
    return NeverFitted(given.location, found[0])


def _filed(path: "Path", location: str, journey: "Journey") -> str:
    """File the photo of the bare place, unless it is filed there already; return its hash."""
    import hashlib  # noqa: PLC0415 - not for a mere --help

    from capture.intake.photo import read_photo  # noqa: PLC0415 - the same

    photo = read_photo(path)
    digest = hashlib.sha256(photo.original).hexdigest()
    there = {each.taken.photo for each in journey.round().place(location).photos
             if each.struck is None}  # fmt: skip
    if digest not in there:
        journey.add_photo(photo, location=location, role="bare bore")
    return digest


def _hold_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("id", metavar="ID", help="of the stop")
    own.add_argument("--name", metavar="TEXT", required=True, help="what goes on")
    own.add_argument(
        "--hides", metavar="A,B", type=_listed, required=True,
        help="locations, and other hold points with all they hide",
    )  # fmt: skip
    own.add_argument(
        "--roles", metavar="A,B", type=_listed, default=[],
        help=f"photos that each location must have: {', '.join(_ROLES)}",
    )  # fmt: skip
    own.add_argument("--debris", action="store_true", help="galleries must be logged clean")
    own.add_argument("--seal", action="store_true", help="a photo of what closes it, once on")
    own.add_argument("--caution", metavar="TEXT", default="", help="what can hurt somebody")


def _hold_added(given: argparse.Namespace, _: "Journey") -> "Change":
    from store.change import HoldAdded  # noqa: PLC0415 - not for a mere --help
    from store.plan import HoldPoint  # noqa: PLC0415 - the same

    for role in given.roles:
        if role not in _ROLES:
            raise WrongUse(f"--roles: {role!r} is not one of {', '.join(_ROLES)}")
    if not given.hides:
        raise WrongUse("--hides: name the locations that it hides")
    return HoldAdded(
        HoldPoint(
            given.id,
            given.name,
            tuple(given.hides),
            roles=tuple(given.roles),
            debris=given.debris,
            seal=given.seal,
            caution=given.caution,
        )
    )


def _part_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("id", metavar="ID", help="of the part")
    own.add_argument("--name", metavar="TEXT", required=True, help="what it is")
    own.add_argument("--location", metavar="ID", default="", help="where it goes")
    own.add_argument("--kit", metavar="ID", default="", help="the line of the kit it is from")


def _part_added(given: argparse.Namespace, _: "Journey") -> "Change":
    from store.change import PartAdded  # noqa: PLC0415 - not for a mere --help
    from store.plan import Part  # noqa: PLC0415 - the same

    return PartAdded(Part(given.id, given.name, given.location, given.kit))


def _kit_options(own: argparse.ArgumentParser) -> None:
    own.add_argument("id", metavar="ID", help="of the line")
    own.add_argument("--name", metavar="TEXT", required=True, help="as the packing says")
    own.add_argument("--count", metavar="N", type=int, required=True, help="how many")
    own.add_argument("--size", metavar="LENGTH", default="", help="as the packing says")


def _kit_set(given: argparse.Namespace, journey: "Journey") -> "Change":
    from capture.additions import kit_line_of  # noqa: PLC0415 - not for a mere --help
    from store.change import KitLineSet  # noqa: PLC0415 - the same

    job = journey.plan.job
    return KitLineSet(kit_line_of(given.id, given.name, given.count, given.size, job))


_Options = Callable[[argparse.ArgumentParser], None]
_Made = Callable[[argparse.Namespace, "Journey"], "Change"]
CHANGES: dict[str, tuple[str, _Options, _Made]] = {
    "add-location": ("add a location that the plan lacks", _location_options, _location_added),
    "add-check": ("add a check to a location", _check_options, _check_added),
    "rename": ("call a location otherwise; its id stays", _rename_options, _renamed),
    "move": ("walk a location at another turn of the round", _move_options, _moved),
    "never-fitted": ("say that this block never had it", _never_options, _never_fitted),
    "add-hold": ("add a hold point", _hold_options, _hold_added),
    "add-part": ("add a part that goes on or in", _part_options, _part_added),
    "add-kit": ("add a line to the kit list, or put one right", _kit_options, _kit_set),
}
