"""Plans that are combined: those of the shipped library, and a shop's own."""

import tomllib
from importlib.resources import files
from pathlib import Path

from msgspec import Struct

from capture.errors import BadPlanFile
from capture.plans.reader import decoded, read_bytes

_FOLDER = files("capture.plans").joinpath("library")


class Fragment(Struct, frozen=True):
    """A plan to be combined with others: its text, and what its top says.

    ``lists`` are those of [each]: what its locations are multiplied by.
    """

    name: str
    text: str
    about: str = ""
    lists: dict[str, tuple[str, ...]] = {}


def library() -> tuple[tuple[str, str], ...]:
    """Return (name, one line) of each shipped plan, in the usual order of work."""
    return tuple((name, read_library(name).about) for name in _shipped())


def read_library(name: str) -> Fragment:
    """Return a shipped plan by its name; raises BadPlanFile naming those there are."""
    shipped = _shipped()
    if name not in shipped:
        raise BadPlanFile(f"no plan {name!r} in the library; there are {', '.join(shipped)}")
    return parse_fragment(_FOLDER.joinpath(shipped[name]).read_bytes(), shipped[name], name)


def read_fragment(path: Path) -> Fragment:
    """Return a plan file to be combined; its [job], if it has one, is left alone.

    Raises BadPlanFile.
    """
    return parse_fragment(read_bytes(path), path.name)


def parse_fragment(raw: bytes, file_name: str, name: str = "") -> Fragment:
    """Return the plan in the bytes of a TOML file. It is read whole when it is combined."""
    text = decoded(raw, file_name)
    try:
        document = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise BadPlanFile(f"{file_name} is not TOML: {error}") from error
    about, lists = document.get("about", ""), document.get("each", {})
    return Fragment(
        name=name or file_name,
        text=text,
        about=about if isinstance(about, str) else "",
        # What is not a list of texts here is refused when the plan is read whole.
        lists={
            key: tuple(map(str, words))
            for key, words in (lists.items() if isinstance(lists, dict) else ())
            if isinstance(words, list)
        },
    )


def _shipped() -> dict[str, str]:
    """Return name -> file name; the number before the name is the order."""
    found = sorted(each.name for each in _FOLDER.iterdir() if each.name.endswith(".toml"))
    return {name.removesuffix(".toml").partition("-")[2]: name for name in found}
