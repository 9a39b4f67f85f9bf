"""Published repeats of one thing, forty groups of five bores, by the grid that readings go through.

The data (piston ring bores, D. C. Montgomery, Introduction to Statistical Quality Control, 2nd
ed., pp. 206-213) travel under a licence that is not ours, so the file is an argument: lines of
"diameter sample ..." as R's packages print it. Published for the first 25 groups: mean of means
74.00118 mm, mean range 0.02276 mm.
"""

from collections import defaultdict
from pathlib import Path

from store.budgets.budget import Budget
from store.budgets.grid import Grid, taken
from store.characteristic import Spot, Take

PUBLISHED_MEAN_MM, PUBLISHED_RANGE_MM = 74.00118, 0.02276
GROUPS = 25


def print_rings(file: Path) -> None:
    """Print both numbers beside the published ones."""
    groups: defaultdict[int, list[float]] = defaultdict(list)
    for line in file.read_text(encoding="utf-8").splitlines()[1:]:
        if line.strip():
            diameter, sample, *_ = line.split()
            groups[int(sample)].append(float(diameter))
    first = [_grid(groups[number]) for number in sorted(groups)[:GROUPS]]
    for what, take, published in (
        ("mean of means", "mean", PUBLISHED_MEAN_MM), ("mean range", "range", PUBLISHED_RANGE_MM),
    ):  # fmt: skip
        ours = sum(_taken(grid, take) for grid in first) / len(first)
        print(f"{what:14} {ours:.5f} mm, published {published:.5f} mm")


def _grid(values: list[float]) -> Grid:
    return Grid(
        {Spot(repeat=n): (f"reading {n}", Budget(v, "mm")) for n, v in enumerate(values, start=1)}
    )


def _taken(grid: Grid, take: str) -> float:
    word: Take = "mean" if take == "mean" else "range"
    return taken(grid, "mm", word).quantity.value
