"""How much memory one photo takes from file to rims: a process of its own, that prints its peak.

``python -m tests.bench.memory FILE X Y``; called by the bench of speed with a large photo.
"""

import resource
import sys
from pathlib import Path

from annotate.errors import AnnotateError
from capture.intake.photo import read_photo
from capture.layers import bare_layer, with_rims


def main() -> None:
    """Look for rims in a photo and print the largest resident sizes, in MB."""
    file, x, y = sys.argv[1:]
    before = _own_peak_mb()
    photo = read_photo(Path(file))
    try:
        with_rims(bare_layer(photo), photo, click=(float(x), float(y)))
        outcome = "rims found"
    except AnnotateError as refusal:
        outcome = str(refusal)
    child_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    pixels = (photo.width_px or 0) * (photo.height_px or 0)
    print(
        f"{pixels / 1e6:.0f} megapixels ({3 * pixels / 1e6:.0f} MB of pixels), {outcome}: at most "
        f"{_own_peak_mb():.0f} MB here ({before:.0f} MB before), "
        f"{child_mb:.0f} MB in the child that decodes"
    )


def _own_peak_mb() -> float:
    # Not of getrusage: there a process starts with the peak of the one that started it.
    status = Path("/proc/self/status").read_text(encoding="ascii")
    (line,) = (row for row in status.splitlines() if row.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


if __name__ == "__main__":
    main()
