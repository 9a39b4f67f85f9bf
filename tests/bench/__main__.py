"""Run the bench: ``python -m tests.bench`` and what is measured, as ``speed`` or ``desk``.

Never part of the tests: nothing here is asserted, and times depend on the machine. Every time is
a ratio to a named peer doing the same thing in the same run.
"""

import argparse
import os
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

Given = argparse.Namespace
# name: (what is measured, where it is, what it is called with).
BENCHES: dict[str, tuple[str, str, Callable[[Given], tuple[list[Any], dict[str, Any]]]]] = {
    "accuracy": (
        "pictures with a known answer", "accuracy.print_accuracy",
        lambda g: ([g.folder], {"each": g.each, "processes": g.processes, "ways": g.ways,
                                "first": g.first, "count": g.count, "together": g.together}),
    ),
    "cut": (
        "pictures cropped so that the border cuts the hole", "cut.print_cut",
        lambda g: ([g.folder], {"processes": g.processes, "count": g.count}),
    ),
    "speed": (
        "one click, against decoding the picture", "speed.print_speed",
        lambda g: ([g.folder], {}),
    ),
    "rims": (
        "rims found from one click, against the true ones", "found_rims.print_found",
        lambda g: ([g.folder], {"walled": g.walled}),
    ),
    "startup": (
        "benchproof --help, against python -c pass", "startup.print_startup",
        lambda _: ([], {}),
    ),
    "rehash": (
        "re-hashing a book's photos, against sha256sum", "rehash.print_rehash",
        lambda _: ([], {}),
    ),
    "append": (
        "entries kept one by one, against plain sqlite3", "append.print_append",
        lambda g: ([g.count], {}),
    ),
    "growth": (
        "a book of a million entries against one of ten thousand", "growth.print_growth",
        lambda g: ([g.count], {}),
    ),
    "intake": (
        "photos filed, against cp, sha256sum and a draft decode", "intake.print_intake",
        lambda g: ([g.count], {}),
    ),
    "report": (
        "a report of many photos, against fpdf2", "report.print_report",
        lambda g: ([g.count], {}),
    ),
    "scale": (
        "a book of 2,000 checks and 20,000 readings", "scale.print_scale",
        lambda _: ([], {}),
    ),
    "shop": (
        "the books of many jobs searched, against plain SQL", "shop.print_shop",
        lambda g: ([g.count], {}),
    ),
    "rings": (
        "published piston ring bores through our grids", "rings.print_rings",
        lambda g: ([g.file], {}),
    ),
    "pairs": (
        "two photos of one hole, measured as one and averaged", "pairs.print_pairs",
        lambda g: ([g.count], {}),
    ),
    "overlap": (
        "100,000 overlaps, against shapely and bare numpy", "overlap.print_overlap",
        lambda _: ([], {}),
    ),
    "lens": (
        "published photos of a chessboard through our calibration", "lens.print_lens",
        lambda g: ([g.folder], {}),
    ),
    "desk": (
        "the window: paint, photo, frames, stalls", "desk.print_desk",
        lambda g: ([], {"where": g.where}),
    ),
}  # fmt: skip
_OF_PICTURES = ("accuracy", "cut", "speed", "rims")
_COUNTS = {
    "append": 100_000,
    "growth": 1_000_000,
    "intake": 200,
    "report": 200,
    "shop": 500,
    "pairs": 40,
}


def main() -> None:
    """Run one bench and print its table."""
    chosen = _parser().parse_args()
    # As the command does before numpy is loaded.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _, where, called_with = BENCHES[chosen.bench]
    module, _, name = where.partition(".")
    words, named = called_with(chosen)
    getattr(import_module(f"tests.bench.{module}"), name)(*words, **named)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    benches = parser.add_subparsers(dest="bench", required=True)
    made = {name: benches.add_parser(name, help=told[0]) for name, told in BENCHES.items()}
    scenes = os.environ.get("BENCHPROOF_SCENES")
    for name in _OF_PICTURES:
        made[name].add_argument(
            "folder", type=Path, nargs="?" if scenes else None, default=scenes and Path(scenes),
            help="folder of NAME.jpg + NAME.json; default: the variable BENCHPROOF_SCENES",
        )  # fmt: skip
    for name, count in _COUNTS.items():
        made[name].add_argument("--count", type=int, default=count, help=f"default: {count}")
    accuracy = made["accuracy"]
    accuracy.add_argument("--each", action="store_true", help="also list every picture")
    accuracy.add_argument("--processes", type=int, default=2)
    accuracy.add_argument("--ways", action="append", help="one way of asking, as its row is named")
    accuracy.add_argument("--first", type=int, default=0, help="skip so many pictures")
    accuracy.add_argument("--count", type=int, help="then ask of so many (default: all)")
    accuracy.add_argument("--together", action="store_true", help="and one table of all folders")
    made["cut"].add_argument("--processes", type=int, default=2)
    made["cut"].add_argument("--count", type=int, help="so many pictures (default: all)")
    made["rims"].add_argument("--walled", action="store_true", help="wall and near diameter typed")
    made["lens"].add_argument("folder", type=Path, help="left01.jpg ... and left_intrinsics.yml")
    made["rings"].add_argument("file", type=Path, help="the data, not ours to ship: see rings.py")
    made["desk"].add_argument("--where", action="store_true", help="what ran in each long stall")
    return parser


if __name__ == "__main__":
    main()
