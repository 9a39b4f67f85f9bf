"""Run the check of bags over a folder of bags that are known to be valid or invalid.

    python -m tests.store.pack.conformance FOLDER

FOLDER is laid out as the BagIt conformance suite of the Library of Congress (CC0): below it, each
bag lies in a folder ``valid``, ``invalid``, ``linux-only`` or ``warning``. Beside our answer stands
that of bagit.py. Only valid bags of version 1.0 are to be taken: an older one, one with files to
be fetched, or one whose names not every system takes is refused, because no pack is like that.
Ends with 1 where an invalid bag is taken, a valid one of version 1.0 refused, or a file is touched.
"""

import logging
import sys
from pathlib import Path

import bagit

from store.errors import BadPack
from store.pack.audit import check_bag

KINDS = ("valid", "invalid", "linux-only", "warning")
NEWEST = "v1.0"


def wrong_with(bag: Path) -> str:
    """Return what is wrong with a bag, in a few words; empty if it is valid."""
    try:
        found = [each for each in check_bag(bag) if each.severity != "note"]
    except BadPack as error:
        return f"refused: {error}"
    return ", ".join(sorted({each.code for each in found}))


def wrong_by_bagit(bag: Path) -> str:
    """Return what bagit.py has against a bag; empty if it takes it."""
    try:
        bagit.Bag(str(bag)).validate()
    except Exception as error:  # noqa: BLE001 - some bags bring it to an error that it does not mean
        return type(error).__name__
    return ""


def bags_below(folder: Path) -> list[tuple[str, Path]]:
    """Return (kind, folder) of every bag."""
    return [
        (kind, path)
        for kind in KINDS
        for parent in sorted(folder.rglob(kind))
        for path in sorted(parent.iterdir())
        if path.is_dir()
    ]


def everything_in(folder: Path) -> dict[str, tuple[int, int]]:
    """Return size and time of every file, to see that nothing was touched."""
    return {
        str(path): (path.lstat().st_size, path.lstat().st_mtime_ns)
        for path in folder.rglob("*")
        if not path.is_dir()
    }


def main() -> int:
    """Print a line for each bag, and the counts."""
    logging.disable(logging.CRITICAL)
    folder = Path(sys.argv[1])
    bags, before = bags_below(folder), everything_in(folder)
    failed = 0
    counts: dict[str, list[int]] = {}
    for kind, bag in bags:
        ours, theirs = wrong_with(bag), wrong_by_bagit(bag)
        taken = counts.setdefault(kind, [0, 0, 0])
        taken[0] += 1
        taken[1] += not ours
        taken[2] += not theirs
        is_due = kind == "valid" and NEWEST in bag.parts
        failed += bool(ours) if is_due else kind in {"invalid", "linux-only"} and not ours
        name = bag.relative_to(folder).as_posix()
        print(f"{name}\n    ours: {ours or 'valid'}\n    bagit.py: {theirs or 'valid'}")
    for kind, (many, ours_taken, theirs_taken) in counts.items():
        print(f"{kind}: {many} bags, ours takes {ours_taken}, bagit.py takes {theirs_taken}")
    if everything_in(folder) != before:
        print("something in the folder was changed")
        failed += 1
    return 1 if failed or not bags else 0


if __name__ == "__main__":
    sys.exit(main())
