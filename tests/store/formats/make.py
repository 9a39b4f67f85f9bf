"""Make the tiny book that is kept of one format: ``python -m tests.store.formats.make FOLDER``.

Run once, when a format is released, and never again for that format: what is kept is read and
verified for ever. It has an entry of every kind there is, written by the commands of the program;
a new kind or member is added here for the NEXT format.
"""

import os
import sys
from pathlib import Path

from PIL import Image

import capture.edge
from store.book import Book
from store.codec import kinds
from store.ways_out.export import write_csv
from tests.capture.command import SAMPLES, run

PLAN = Path(__file__).parent / "plan.toml"
# The hole of sample_images/bearing-1.jpg and points by hand on its rims (answers.toml).
CROP = (626, 658, 1066, 1098)
NEAR = [[741.91, 931.58], [850.56, 999.4], [924.0, 978.67], [976.01, 913.61],
        [964.1, 803.1], [895.64, 748.86], [806.07, 753.08], [730.64, 845.56]]  # fmt: skip
FAR = [[870.05, 980.87], [896.96, 950.0], [915.52, 915.67], [923.05, 872.96],
       [926.5, 831.91], [914.73, 789.09]]  # fmt: skip


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir()
    os.environ.update(
        BENCHPROOF_BENCH="north", BENCHPROOF_BY="R. Tamm", XDG_DATA_HOME=str(folder / "key")
    )
    # A version of its own: what later ones measure otherwise differs, and is not altered.
    capture.edge.version = lambda: "0.1.0, format 2"
    book = folder / "book"
    photo = folder / "hole.jpg"
    Image.open(SAMPLES / "bearing-1.jpg").crop(CROP).save(photo, quality=60)
    _work(book, photo)
    _second_bench(folder, book)
    do("pack", book, folder / "pack.zip")
    with Book.open(book, read_only=True) as opened:
        missing = set(kinds()) - {entry.kind for entry in opened.entries()}
        write_csv(folder / "readings.csv", opened.round())
        write_csv(folder / "checks.csv", opened.round(), "checks")
    if missing:
        raise SystemExit(f"no entry of these kinds: {missing}")
    do("verify", book)
    sys.stdout.write(f"made {book}: take book, readings.csv and checks.csv\n")


def _work(book: Path, photo: Path) -> None:
    do("start", PLAN, book)
    do("photo", book, photo, "--at", "C1", "--role", "overall")
    first = _marks(book, photo)
    _marks(book, photo, "--second", first, "--by", "L. Saar")
    do("map", book, "C1", "--photo", photo, "--click", "220,220")
    do("owner", book, "told", "one plug was weeping before", "--how", "by phone, 4 March")
    do("paper", book, SAMPLES / "works-sheet.txt", "--what", "the maker's works sheet")
    do("kit", book, "plugs", "counted", "2")
    do("plug", book, "P1", "out", "--size", "38.6 mm nominal")
    do("reading", book, "J1.journal", "48.012 mm", "48.010 mm")
    do("reading", book, "J1.bore", "0.071 mm bigger", "--zero", "J1.journal")
    do("reading", book, "P1.depth", "3.1 mm BELOW")
    do("strike", book, _entry(book, "P1.depth"), "--reason", "read from the wrong edge")
    do("reading", book, "P1.depth", "3.05 mm BELOW")
    do("reading", book, "P1.depth-2", "3.02 mm BELOW", codes=(5,))
    do("reading", book, "P1.clean", "yes")
    do("reading", book, "P1.sealant", "green, batch 7")
    do("limit", book, "P1.press", "--at-least", "0.05 mm", "--at-most", "0.2 mm",
       "--source", "manual, page 12")  # fmt: skip
    do("reading", book, "P1.press", "0.11 mm")
    do("rework", book, "P1.press", "--what", "bore dressed")
    do("reading", book, "P1.press", "1.1 mm", codes=(2,))  # asked about: a tenth of it?
    do("reading", book, "P1.press", "1.1 mm", "--stands", "looked again", codes=(5,))
    do("close", book, "cover", codes=(6,))
    do("part", book, "plug-1", "fitted", "--piece", "no. 4", "--photo", photo)
    do("reading", book, "P1.depth", "3.11 mm BELOW", codes=(5,))
    do("reading", book, "P1.depth-2", "3.11 mm BELOW")
    do("debris", book, "P1", "--how", "brushed and blown", "--clean", "yes")
    do("gauge", book, "mic-1", "suspect", "--since", "2026-01-01", "--reason", "fell")
    do("gauge", book, "mic-1", "clear", "--reason", "right on the 25 mm block")
    do("close", book, "cover", "--waive", "P1.press", "--reason", "sits by its shoulder",
       "--decided-by", "R. Tamm", "--owner-agreed", "by phone, Tuesday")  # fmt: skip
    do("reopen", book, "cover", "--reason", "weeps at the lower bolt")


def _second_bench(folder: Path, book: Path) -> None:
    do("copy", book, folder / "south", "--bench", "south")
    do("reading", folder / "south", "P1.press", "0.10 mm")
    do("merge", book, folder / "south")


def _marks(book: Path, photo: Path, *more: str) -> str:
    do(
        "coverage", photo, "--book", book, "--check", "C1.covered",
        "--near-points", _points(NEAR), "--far-points", _points(FAR), *more,
    )  # fmt: skip
    return _entry(book, "C1.covered")


def _entry(book: Path, key: str) -> str:
    """Return the entry of the value that counts for a check."""
    with Book.open(book, read_only=True) as opened:
        current = opened.round().check(key).current
    if current is None:
        raise SystemExit(f"{key} has no value")
    return current.stamp.entry


def do(*words: str | Path, codes: tuple[int, ...] = (0,)) -> str:
    """Run one command; it must end as it should."""
    done = run(*words)
    sys.stdout.write(f"{done.code}  {' '.join(str(word) for word in words)}\n")
    if done.code not in codes:
        raise SystemExit(done.out + done.err)
    return done.out


def _points(points: list[list[float]]) -> str:
    return " ".join(f"{x - CROP[0]:.2f},{y - CROP[1]:.2f}" for x, y in points)


if __name__ == "__main__":
    main()
