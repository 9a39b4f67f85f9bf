"""Run the bench: ``python -m tests.bench`` and what is measured, as ``speed`` or ``desk``.

Never part of the tests: nothing here is asserted, and times depend on the machine. Every time is
a ratio to a named peer doing the same thing in the same run.
"""

import argparse
import os
from pathlib import Path


def main() -> None:
    """Run one bench and print its table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    benches = parser.add_subparsers(dest="bench", required=True)
    accuracy = benches.add_parser("accuracy", help="pictures with a known answer")
    speed = benches.add_parser("speed", help="one click, against decoding the picture")
    rims = benches.add_parser("rims", help="rims found from one click, against the true ones")
    for bench in (accuracy, speed, rims):
        bench.add_argument(
            "folder",
            type=Path,
            nargs="?",
            default=os.environ.get("BENCHPROOF_SCENES"),
            help="folder of NAME.jpg + NAME.json; default: the variable BENCHPROOF_SCENES",
        )
    accuracy.add_argument("--each", action="store_true", help="also list every picture")
    accuracy.add_argument("--processes", type=int, default=2)
    accuracy.add_argument("--ways", action="append", help="one way of asking, as its row is named")
    accuracy.add_argument("--first", type=int, default=0, help="skip so many pictures")
    accuracy.add_argument("--count", type=int, help="then ask of so many (default: all)")
    benches.add_parser("startup", help="benchproof --help, against python -c pass")
    benches.add_parser("rehash", help="re-hashing a book's photos, against sha256sum")
    benches.add_parser("scale", help="a book of 2,000 checks and 20,000 readings")
    rings = benches.add_parser("rings", help="published piston ring bores through our grids")
    rings.add_argument("file", type=Path, help="the data, which is not ours to ship: see rings.py")
    desk = benches.add_parser("desk", help="the window: paint, photo, frames, stalls")
    desk.add_argument("--where", action="store_true", help="tell what ran in each long stall")
    chosen = parser.parse_args()
    if "folder" in chosen and chosen.folder is None:
        parser.error("name a folder of scenes, or set BENCHPROOF_SCENES to it")
    if chosen.bench == "accuracy":
        _accuracy(accuracy, chosen)
    elif chosen.bench == "rims":
        from tests.bench.found_rims import print_found  # noqa: PLC0415 - one bench, one set of imports

        print_found(Path(chosen.folder))
    elif chosen.bench == "startup":
        from tests.bench.startup import print_startup  # noqa: PLC0415 - one bench, one set of imports

        print_startup()
    elif chosen.bench == "rehash":
        from tests.bench.rehash import print_rehash  # noqa: PLC0415 - one bench, one set of imports

        print_rehash()
    elif chosen.bench == "rings":
        from tests.bench.rings import print_rings  # noqa: PLC0415 - one bench, one set of imports

        print_rings(chosen.file)
    elif chosen.bench == "scale":
        from tests.bench.scale import print_scale  # noqa: PLC0415 - one bench, one set of imports

        print_scale()
    elif chosen.bench == "desk":
        from tests.bench.desk import print_desk  # noqa: PLC0415 - one bench, one set of imports

        print_desk(where=chosen.where)
    else:
        from tests.bench.speed import print_speed  # noqa: PLC0415 - one bench, one set of imports

        print_speed(Path(chosen.folder))


def _accuracy(parser: argparse.ArgumentParser, chosen: argparse.Namespace) -> None:
    from tests.bench.accuracy import print_accuracy  # noqa: PLC0415 - one bench, one set of imports
    from tests.bench.tool import WAYS  # noqa: PLC0415 - the same

    ways = chosen.ways or WAYS
    if unknown := set(ways) - set(WAYS):
        parser.error(f"no such way: {', '.join(unknown)}; the ways: {'; '.join(WAYS)}")
    print_accuracy(
        Path(chosen.folder), each=chosen.each, processes=chosen.processes, ways=ways,
        first=chosen.first, count=chosen.count,
    )  # fmt: skip


if __name__ == "__main__":
    main()
