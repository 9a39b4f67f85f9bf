"""The tool against pictures with a known answer, beside a drawing program's answer.

Every way of asking is tried on every picture. A refusal is counted with its reason; a crash is a
row of its own and never hides. Nothing of the answer is shown to the tool (see scenes.py).
"""

import multiprocessing
import os
import sys
from collections import defaultdict
from collections.abc import Sequence
from functools import partial
from pathlib import Path

from tests.bench import tool
from tests.bench.scenes import Scene, scene_groups
from tests.bench.score import Answer
from tests.bench.tables import print_group


def asked(scene: Scene, ways: Sequence[str] = tool.WAYS) -> list[tool.Asked]:
    """Return the answers for one picture; runs in a child process."""
    if scene.kind == "flat_face":
        return [tool.flat_face(scene)] if "measure" in ways else []
    return tool.oil_hole(scene, ways)


def print_accuracy(
    folder: Path,
    *,
    each: bool = False,
    processes: int = 2,
    ways: Sequence[str] | None = None,
    first: int = 0,
    count: int | None = None,
    together: bool = False,
) -> None:
    """Print one table for the folder and one for each sub-folder that holds scenes.

    ``together``: and one of all pictures, which tells what chance does to a single table's rates.
    """
    if unknown := set(ways := ways or tool.WAYS) - set(tool.WAYS):
        sys.exit(f"no such way: {', '.join(unknown)}; the ways: {'; '.join(tool.WAYS)}")
    groups = list(scene_groups(folder, first, count))
    if not groups:
        sys.exit(f"no NAME.jpg with its NAME.json in {folder}")
    # Each process has a picture of its own: threads of numpy's inside would only queue.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    everything: dict[tuple[str, str], list[Answer]] = defaultdict(list)
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        for name, scenes in groups:
            answers: dict[tuple[str, str], list[Answer]] = defaultdict(list)
            for done, found in enumerate(pool.imap(partial(asked, ways=ways), scenes), 1):
                if sys.stderr.isatty():
                    print(f"\r{name} {done}/{len(scenes)}", end="", file=sys.stderr, flush=True)
                for way in found:
                    for quantity, answer in way.answers:
                        answers[way.way, quantity].append(answer)
            print_group(name, {scene.name: scene for scene in scenes}, dict(answers), each=each)
            for asked_for, given in answers.items():
                everything[asked_for] += given
    if together:
        named = {scene.name: scene for _, scenes in groups for scene in scenes}
        print_group("all together", named, dict(everything), each=False)
