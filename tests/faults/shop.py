"""A small invented shop for the fault tools: a job before each act of its journey, and the acts.

An act is one command line. Before each, the whole shop (book, second bench's copy, what was
written, key, cache) is set aside as it stands, so that any act can be begun again and again.
"""

import io
import random
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from PIL import Image

from store.evidence import Closed, JobStarted, Marked, PaperKept, PhotoTaken, Read, Struck
from tests.capture.small_plan import PLAN
from tests.faults.present import (
    BOOK,
    COPY,
    SOUTH,
    ends_with,
    has,
    has_all_of,
    is_sound_copy,
    is_sound_pack,
)
from tests.faults.workbench import work_in_peace

REPORT, PAGE, PACK, BAG = "out/report.pdf", "out/report.html", "out/pack.zip", "out/pack"
_RIMS = ["--near-points", "20,30 40,10 60,30 40,50 26,44", "--far-points", "25,30 40,15 55,30"]


class Act(NamedTuple):
    """One act: its command line, and what is there when the program has said that it is done."""

    name: str
    words: tuple[str, ...]
    is_done: Callable[[Path], bool]


def _read(key: str, text: str) -> tuple[str, ...]:
    return ("reading", BOOK, key, text, "--by", "A. Fitter")


ACTS = (
    Act("start", ("start", "plan.toml", BOOK), lambda shop: has(shop, JobStarted)),
    Act(
        "photo",
        ("photo", BOOK, "bore.jpg", "--at", "P1", "--role", "fitted"),
        lambda shop: has(shop, PhotoTaken, location="P1"),
    ),
    Act("reading", _read("P1.bore", "30.000 mm"), lambda shop: has(shop, Read, key="P1.bore")),
    Act("fit", _read("P1.plug", "30.050 mm"), lambda shop: has(shop, Read, key="P1.plug")),
    Act(
        "mark",
        ("coverage", "hole.jpg", "--book", BOOK, "--check", "C1.covered", *_RIMS),
        lambda shop: has(shop, Marked, key="C1.covered"),
    ),
    Act(
        "paper",
        ("paper", BOOK, "sheet.txt", "--what", "a maker's sheet"),
        lambda shop: has(shop, PaperKept),
    ),
    Act("strike", ("strike", BOOK, "3", "--reason", "read twice"), lambda shop: has(shop, Struck)),
    Act("close", ("close", BOOK, "cover"), lambda shop: has(shop, Closed)),
    Act("report", ("report", BOOK, "-o", REPORT), lambda shop: ends_with(shop / REPORT, b"%%EOF")),
    Act(
        "page",
        ("report", BOOK, "--html", "-o", PAGE),
        lambda shop: ends_with(shop / PAGE, b"</html>"),
    ),
    Act("pack", ("pack", BOOK, PACK), lambda shop: is_sound_pack(shop / PACK)),
    Act("bag", ("pack", BOOK, BAG), lambda shop: is_sound_pack(shop / BAG)),
    Act("copy", ("copy", BOOK, COPY), is_sound_copy),
    Act("merge", ("merge", BOOK, SOUTH), lambda shop: has_all_of(shop, SOUTH)),
    Act("update", ("copy", BOOK, COPY), is_sound_copy),
)
BY_NAME = {act.name: act for act in ACTS}
# What is done in peace before an act: the second bench's work, for one.
BEFORE: dict[str, tuple[tuple[str, ...], ...]] = {
    "strike": (_read("P1.bore", "30.001 mm"),),
    "close": (_read("P1.depth", "3 mm below"), _read("P1.clean", "yes")),
    "merge": (
        ("copy", BOOK, SOUTH, "--bench", "south"),
        ("photo", SOUTH, "bore.jpg", "--at", "C1", "--role", "overall"),
        ("coverage", "other.jpg", "--book", SOUTH, "--check", "C1.covered", *_RIMS),
    ),
}


class BeforeEach:
    """The shop as it stands before each act, built once in a folder.

    ``shop`` is where an act is done again; what strace and the act say lies beside it.
    """

    def __init__(self, folder: Path) -> None:
        self._folder, self.shop = folder, folder / "shop"
        shop = folder / "now"
        furnish(shop)
        for act in ACTS:
            for words in BEFORE.get(act.name, ()):
                _in_peace(shop, words)
            shutil.copytree(shop, folder / act.name)
            _in_peace(shop, act.words)
            if not act.is_done(shop):
                raise RuntimeError(f"{act.name} was done in peace and is not there")

    def set_up(self, act: str) -> Path:
        """Put the shop as it was before an act in the place of the last one, and return where."""
        shutil.rmtree(self.shop, ignore_errors=True)
        shutil.copytree(self._folder / act, self.shop)
        return self.shop


def furnish(shop: Path) -> None:
    """Make the folders and files that a shop has before its first job."""
    for name in ("out", "tmp", "cache", "data", "config", "state"):
        (shop / name).mkdir(parents=True)
    (shop / "plan.toml").write_text(PLAN)
    (shop / "sheet.txt").write_text("a sheet of a maker that there never was\n" * 40)
    for number, name in enumerate(("bore.jpg", "hole.jpg", "other.jpg")):
        (shop / name).write_bytes(_picture(number))


def _picture(number: int) -> bytes:
    """Return a JPEG of noise, some 5,000 bytes: enough for a write to be torn in."""
    chance = random.Random(number)  # noqa: S311 - a picture, no secret
    picture, out = Image.frombytes("RGB", (80, 60), chance.randbytes(80 * 60 * 3)), io.BytesIO()
    picture.save(out, "JPEG", quality=85)
    return out.getvalue()


def _in_peace(shop: Path, words: tuple[str, ...]) -> None:
    done = work_in_peace(shop, words)
    if done.code != 0:
        raise RuntimeError(f"{words} ended with {done.code}: {done.err}")
