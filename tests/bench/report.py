"""The report of a job with 200 photos, against fpdf2 placing the same pictures on pages.

Both run as processes of their own: wall time, and the largest memory of it or of a child of it.
fpdf2 gets the photos as they came and puts two on a page with a line of text; ours checks each
against its hash, turns it upright and scales it to what is printed, and sets all that is known.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

from capture.intake.photo import read_photo
from capture.journey import Journey
from store.plan import Job, Location, Plan
from tests.bench.intake import photos_like_a_cameras

PHOTOS, PLACES = 200, 25
_PEER = """
import sys
from pathlib import Path
from fpdf import FPDF
page = FPDF(format="A4")
page.set_font("helvetica", size=10)
for number, photo in enumerate(sorted(Path(sys.argv[1]).rglob("*.jpg"))):
    if number % 2 == 0:
        page.add_page()
    page.image(photo, x=20, y=20 + 130 * (number % 2), w=150)
    page.text(20, 140 + 130 * (number % 2), photo.name)
page.output(sys.argv[2])
"""


def print_report(count: int = PHOTOS) -> None:
    """Print time, peak memory and size of the file for both, and the ratios."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        card = photos_like_a_cameras(folder / "card", count)
        book = _book(folder / "book", card)
        ours, theirs = folder / "ours.pdf", folder / "theirs.pdf"
        rows = {
            "benchproof report": (
                *_ran("-m", "capture", "report", str(book), "-o", str(ours)), ours
            ),
            "fpdf2": (*_ran("-c", _PEER, str(folder / "card"), str(theirs)), theirs),
        }  # fmt: skip
        print(f"the report of a job with {count} photos of 12 megapixels at {PLACES} locations")
        print(f"{'':20}{'time':>10}{'peak memory':>14}{'file':>10}")
        for what, (took, peak, file) in rows.items():
            size = file.stat().st_size / 1e6
            print(f"{what:20}{took:>8.1f} s{peak / 1e3:>11.0f} MB{size:>7.1f} MB")
    (mine, my_peak, _), (peer, its_peak, _) = rows.values()
    print(f"{'ratio':20}{mine / peer:>10.2f}{my_peak / its_peak:>14.2f}")


def _book(root: Path, card: list[Path]) -> Path:
    places = tuple(Location(f"L{n:02}", f"location {n}", ()) for n in range(PLACES))
    plan = Plan(Job("B-1", "bench mule", "nobody", "The Bench"), places)
    with Journey.start(
        plan, root, clock=lambda: "2026-03-02T09:00:00+01:00", user="A. Fitter", bench="north",
        version="bench",
    ) as journey:  # fmt: skip
        for number, path in enumerate(card):
            where = places[number % PLACES].id
            journey.add_photo(read_photo(path), location=where, role="close-up")
    return root


def _ran(*words: str) -> tuple[float, int]:
    """Return the wall time (s) and the peak memory (kB) of a process and its children."""
    begin = time.perf_counter()
    # Not subprocess: the resources that one process used come with its own wait4 only.
    process = os.spawnv(os.P_NOWAIT, sys.executable, [sys.executable, *words])  # noqa: S606 - as said
    _, status, used = os.wait4(process, 0)
    took = time.perf_counter() - begin
    if status:
        raise SystemExit(f"{words[1][:20]!r} ended with {status}: is fpdf2 installed?")
    return took, used.ru_maxrss
