"""What is fuzzed: every reader of bytes that a stranger may have written, and what it may refuse.

A target takes any bytes. It may return, or raise one of its ``refusals``, which are told to the
user as one sentence; whatever else it raises is a defect. ``seeds`` are sound inputs to start from.
"""

import io
import json
import shutil
import tempfile
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import NamedTuple
from unittest import mock

import msgspec

from annotate.drawings.overlay import to_svg
from annotate.errors import AnnotateError
from annotate.givens import Givens
from annotate.marks import Layer
from capture.entry import parse_answer, parse_length, parse_limit, parse_reading, quantity_of
from capture.errors import BadPlanFile, BadProfile, BadReading
from capture.intake import worker
from capture.intake.kind import recognise
from capture.intake.wholeness import what_is_missing
from capture.lenses import read_profile
from capture.pins import parse_pins
from capture.plans.reader import parse_plan
from capture.plans.sheet import parse_csv
from capture.plans.sheet_writer import write_csv
from capture.plans.writer import write_plan
from capture.printed import read_printed
from store.codec import decode, decode_own
from store.errors import BadRecord, CannotWrite, NotAPack, StoreError
from store.pack.bounded import Bounded
from store.pack.inspection import verify_pack
from store.verify import measure_coverage
from tests.capture.full_plan import FULL
from tests.capture.small_plan import PLAN as SMALL
from tests.store import small_job
from tests.store.pack.packed import make_key, packed, small_book

FILES = Path(__file__).parents[1] / "capture" / "files"
_UNITS = ("mm", "in", "deg", "N.m", "count", "%", "1")
_TRIALS = 64


class Target(NamedTuple):
    """One reader. ``instrumented`` are the modules whose branches steer the search."""

    read: Callable[[bytes], None]
    refusals: tuple[type[Exception], ...]
    seeds: Callable[[], Iterable[bytes]]
    instrumented: tuple[str, ...]


def _entry(data: bytes) -> None:
    """Read a text as everything that may be typed into a box."""
    text = data.decode("utf-8", "replace")
    readers: list[Callable[[], object]] = [
        *(
            lambda unit=unit, comma=comma: quantity_of(
                parse_reading(text, unit=unit, decimal_comma=comma)
            )
            for unit in _UNITS
            for comma in (False, True)
        ),
        lambda: quantity_of(parse_reading(text, unit="mm", depth=True)),
        lambda: parse_length(text),
        lambda: parse_limit(text),
        lambda: parse_answer(text),
        lambda: parse_pins(text, unit="mm"),
        lambda: read_printed(text, "mm"),
        lambda: read_printed(text, "in", decimal_comma=True),
    ]
    for read in readers:
        with suppress(BadReading):
            read()


def _plan(data: bytes) -> None:
    """Read a plan file; one that is read must read as itself when it is written again."""
    plan = parse_plan(data, "a.toml")
    text = write_plan(plan)
    assert parse_plan(text.encode(), "again.toml") == plan


def _sheet(data: bytes) -> None:
    parse_csv(data, "a.csv", small_job.plan().job)


def _whole(data: bytes) -> None:
    """Do what is done with a picture's bytes in the program's own process."""
    kind = recognise(data)
    if kind.readable:
        what_is_missing(data, kind)


def _exif(data: bytes) -> None:
    """Do what the child process does with a picture's head: size, mode, and what EXIF claims."""
    kind = recognise(data)
    if not kind.readable or kind.name == "HEIC":
        return
    # As the child does, but for its limit of processor time: that would end this process.
    with warnings.catch_warnings(action="ignore"), mock.patch.object(worker, "_limit_cpu"):
        picture = worker._open(kind.name, 50_000_000, io.BytesIO(data))
        head = worker._describe(picture, kind.name)
    json.dumps(head, allow_nan=False).encode("utf-8")
    assert head["orientation"] in range(1, 9)


def _codec(data: bytes) -> None:
    """Read a line; both readers must say the same of it."""
    read = _read_or_none(decode, data)
    own = _read_or_none(decode_own, data)
    assert read == own or (read is None) == (own is None), "the two readers differ"


def _read_or_none(reader: Callable[[bytes], object], data: bytes) -> object:
    try:
        return reader(data)
    except BadRecord:
        return None


def _layer(data: bytes) -> None:
    """Draw a stranger's marks, and measure them with few trials."""
    layer = msgspec.json.decode(data, type=Layer, strict=False)
    to_svg(layer)
    Bounded(measure_coverage())(layer, Givens(), seed=1, trials=_TRIALS)


def _lens(data: bytes) -> None:
    path = _scratch() / "lens.toml"
    path.write_bytes(data)
    read_profile(path)


def _zip(data: bytes) -> None:
    path = _scratch() / "pack.zip"
    path.write_bytes(data)
    verify_pack(path, measure=small_job.measure)


def _bag(data: bytes) -> None:
    """Check a folder of a pack in which one file holds these bytes: the first byte says which."""
    if not data:
        return
    made = _made()
    names = _bag_files()
    path = made / "pack" / names[data[0] % len(names)]
    before = path.read_bytes()
    try:
        path.write_bytes(data[1:])
        verify_pack(made / "pack", measure=small_job.measure)
    finally:
        path.write_bytes(before)


@cache
def _scratch() -> Path:
    # In memory where there is such a folder: thousands of files a second.
    memory = Path("/dev/shm")  # noqa: S108 - a folder of its own is made in it
    folder = Path(tempfile.mkdtemp(prefix="fuzz-", dir=memory if memory.is_dir() else None))
    import atexit  # noqa: PLC0415 - beside its use

    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


@cache
def _made() -> Path:
    """Return a folder with a small pack, as a folder and as a zip."""
    root = _scratch()
    key = make_key(root)
    with small_book(root / "book") as book:
        packed(book, root / "pack", key)
    # Checking the report takes a process of its own, and seconds.
    (root / "pack" / "data" / "report.pdf").unlink()
    return root


@cache
def _bag_files() -> list[str]:
    root = _made() / "pack"
    found = sorted(path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file())
    return [name for name in found if not name.endswith((".pdf", ".html"))]


def _entry_seeds() -> Iterator[bytes]:
    yield from (
        text.encode()
        for text in (
            "0.30 mm BELOW", "17/32 in", "1 1/2 in", "63.512 mm +- 0.002 mm", "45 N.m", "FLUSH",
            "12 %", "1.2-1.4 mm", "covered of near <= 40 %", "pin >= 6.5 mm", "yes", "3",
            "passed 4.5 mm, stopped 4.6 mm", "62.98-63.00 mm (2.4795-2.4803 in)", "max 3 mm",
            "10 degC", "1,5 mm", "0.0005 in ±0.0001 in", "7 deg", "1e3 mm", "-1 mm", "½ in",
        )
    )  # fmt: skip


def _plan_seeds() -> Iterator[bytes]:
    yield FULL.encode()
    yield SMALL.encode()
    yield (
        b'format = 1\n[job]\nnumber = "1"\nengine = "e"\ncustomer = "c"\nshop = "s"\n'
        b'[[location]]\nid = "a"\nname = "a"\n'
        b'[[location.check]]\nid = "b"\nkind = "yes-no"\nquestion = "q"\n'
    )


def _sheet_seeds() -> Iterator[bytes]:
    yield write_csv(parse_plan(FULL.encode(), "full.toml")).encode()
    yield write_csv(parse_plan(SMALL.encode(), "small.toml")).encode()


def _pictures() -> Iterator[bytes]:
    yield from (
        path.read_bytes()
        for path in sorted(FILES.rglob("*"))
        if path.is_file() and 0 < path.stat().st_size < 60_000
    )


def _lines() -> list[bytes]:
    with small_book(Path(tempfile.mkdtemp(dir=_scratch())) / "book") as book:
        return [entry.line for entry in book.entries()]


def _layer_seeds() -> Iterator[bytes]:
    yield msgspec.json.encode(small_job.marks("0" * 64).layer)
    yield (
        b'{"width_px":640,"height_px":480,"focal_35mm":28,"marks":[{"type":"rim","which":"near",'
        b'"points_px":[[300,100],[400,200],[300,300],[200,200],[371,129],[229,271]],"sigma_px":0.5}'
        b',{"type":"rim","which":"far","points_px":[[250,160],[270,150],[300,140],[330,150],'
        b'[350,160]],"sigma_px":0.5,"placed":"found","seed":{"x_px":300,"y_px":200}},'
        b'{"type":"known distance","a":{"x_px":1,"y_px":2},"b":{"x_px":90,"y_px":2},"length":'
        b'{"value":9,"unit":"mm","u":0.1}},{"type":"note","at":{"x_px":1,"y_px":1},"text":"n"},'
        b'{"type":"far rim not seen","looks":"open"}]}'
    )


def _lens_seeds() -> Iterator[bytes]:
    fields = "".join(f"{name} = 1.5\n" for name in _lens_fields())
    yield f"[lens]\n{fields}".encode()


def _lens_fields() -> Iterable[str]:
    from annotate.optics.profile import LensProfile  # noqa: PLC0415 - beside its use

    return LensProfile.__struct_fields__


def _zip_seeds() -> Iterator[bytes]:
    from tests.store.pack.test_hostile import GOOD, HOSTILE, zipped  # noqa: PLC0415 - heavy

    yield zipped(*GOOD)
    yield from (content for content, _ in HOSTILE.values() if len(content) < 20_000)


def _bag_seeds() -> Iterator[bytes]:
    root = _made() / "pack"
    for number, name in enumerate(_bag_files()):
        yield bytes([number]) + (root / name).read_bytes()


TARGETS = {
    "entry": Target(_entry, (BadReading,), _entry_seeds, ("capture", "annotate.quantity")),
    "plan": Target(_plan, (BadPlanFile,), _plan_seeds, ("capture", "store", "tomllib")),
    "sheet": Target(_sheet, (BadPlanFile,), _sheet_seeds, ("capture", "store")),
    "whole": Target(_whole, (), _pictures, ("capture",)),
    "exif": Target(_exif, (worker.Refused,), _pictures, ("capture", "PIL")),
    "codec": Target(_codec, (BadRecord,), _lines, ("store", "annotate", "json")),
    "layer": Target(
        _layer,
        (msgspec.MsgspecError, UnicodeError, AnnotateError),
        _layer_seeds,
        ("annotate", "store.pack.bounded"),
    ),
    "lens": Target(
        _lens, (BadProfile,), _lens_seeds, ("capture.lenses", "annotate.optics.profile")
    ),
    "zip": Target(_zip, (NotAPack, CannotWrite), _zip_seeds, ("store", "zipfile")),
    "bag": Target(_bag, (NotAPack, CannotWrite, StoreError), _bag_seeds, ("store",)),
}


def outcome(target: Target, data: bytes) -> BaseException | None:
    """Return what a target raised beyond its refusals, None if it behaved."""
    try:
        target.read(data)
    except target.refusals:
        return None
    except BaseException as error:  # noqa: BLE001 - whatever it is, it is looked at
        return error
    return None
