"""Make pictures of drilled holes with known answers: ``python -m tests.rendered FOLDER``.

Two holes, one behind the other; with ``--faces`` several holes in a flat face beside a target.

About ten seconds of one processor each; what is there already is left alone.
"""

import argparse
from multiprocessing import get_context
from pathlib import Path

from tests.rendered.numbered import make_numbered, make_numbered_face


def main() -> None:
    """Make the pictures of these numbers."""
    parser = argparse.ArgumentParser(prog="python -m tests.rendered", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=240, help="how many (default: 240)")
    parser.add_argument("--first", type=int, default=0, help="number of the first (default: 0)")
    parser.add_argument("--faces", action="store_true", help="flat faces")
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    wanted = [(n, given.folder) for n in range(given.first, given.first + given.count)]
    with get_context("spawn").Pool(given.processes) as pool:
        for line in pool.imap(make_numbered_face if given.faces else make_numbered, wanted):
            print(line, flush=True)


if __name__ == "__main__":
    main()
