"""The pictures that are shipped, and what is known of them."""

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import as_file, files
from pathlib import Path
from typing import NamedTuple

from capture.errors import WrongUse
from capture.intake.photo import Photo, read_photo


class KnownHole(NamedTuple):
    """What is known of a sample picture: the true coverage, and where to click on it."""

    covered: float
    click: tuple[float, float]
    near_points: tuple[tuple[float, float], ...]
    far_points: tuple[tuple[float, float], ...]


def known_hole(picture: str) -> KnownHole:
    """Return the known answer of one sample picture of an oil hole."""
    text = files("sample_images").joinpath("answers.toml").read_text(encoding="utf-8")
    for hole in tomllib.loads(text)["hole"]:
        if hole["file"] == picture:
            return KnownHole(
                covered=hole["covered"],
                click=(hole["click"][0], hole["click"][1]),
                near_points=tuple((x, y) for x, y in hole["near_points"]),
                far_points=tuple((x, y) for x, y in hole["far_points"]),
            )
    raise WrongUse(f"no known answer of {picture!r} among the sample pictures")


def sample_photo(picture: str) -> Photo:
    """Return a sample picture, read as any photo is."""
    with sample_path(picture) as path:
        return read_photo(path)


@contextmanager
def sample_path(name: str) -> Iterator[Path]:
    """Give the path of one shipped sample file."""
    with as_file(files("sample_images").joinpath(name)) as path:
        yield path
