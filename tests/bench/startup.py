"""How long the command takes to say --help, against a Python that does nothing."""

import subprocess
import sys
import time
from statistics import median

RUNS = 15


def seconds(*arguments: str) -> float:
    """Return the wall time of one fresh interpreter."""
    begin = time.perf_counter()
    subprocess.run([sys.executable, *arguments], capture_output=True, check=True)
    return time.perf_counter() - begin


def print_startup(runs: int = RUNS) -> None:
    """Print both times and their ratio; the two take turns, so a busy machine slows both."""
    rows: dict[str, list[float]] = {"python -c pass": [], "benchproof --help": []}
    seconds("-m", "capture", "--help")  # once for the byte code
    for _ in range(runs):
        rows["python -c pass"].append(seconds("-c", "pass"))
        rows["benchproof --help"].append(seconds("-m", "capture", "--help"))
    print(f"start-up, {runs} runs each, taking turns")
    print(f"{'':20}{'least':>10}{'median':>10}")
    for name, times in rows.items():
        print(f"{name:20}{min(times) * 1e3:>7.0f} ms{median(times) * 1e3:>7.0f} ms")
    nothing, helped = rows.values()
    print(
        f"{'ratio':20}{min(helped) / min(nothing):>10.2f}{median(helped) / median(nothing):>10.2f}"
    )
