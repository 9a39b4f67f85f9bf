"""The map of the house for DEVELOPERS.md, from the tree and each module's first line.

``python -m tests.architecture.house_map`` prints it, with ``--write`` it goes into DEVELOPERS.md.
"""

import ast
import re
import sys
from collections.abc import Iterator

from tests.architecture.tree import PACKAGES, ROOT, syntax, tracked

_TESTS = {
    "annotate": "mirrors annotate/",
    "architecture": "contracts, words, documents, what is loaded at run time",
    "bench": "accuracy and speed, as ratios, printed as tables; never asserted",
    "capture": "mirrors capture/",
    "faults": "failing writes, killed programs, flipped bits",
    "hostile": "pictures, packs, books and words made to do harm, and a coverage-guided fuzz",
    "journey": "the main job end to end, and the sample pictures' answers",
    "rendered": "a renderer of holes with known answers; imports nothing of the program",
    "screens": "a picture of every screen of the window, to be looked at",
    "store": "mirrors store/",
    "truth": "published and hand-worked numbers, source beside each",
}
_WIDTH = 26


def entries() -> dict[str, str]:
    """Return what the map must hold: path -> what it is."""
    found: dict[str, str] = {}
    for name in tracked():
        folder, _, file = name.rpartition("/")
        if folder.split("/")[0] not in PACKAGES or file == "py.typed":
            continue
        if file == "__init__.py":
            found[f"{folder}/"] = _first_line(name)
        elif file.endswith(".py"):
            found[name] = _first_line(name)
    for folder in {name.split("/")[1] for name in tracked() if name.count("/") > 1}:
        if f"tests/{folder}/__init__.py" in tracked():
            found[f"tests/{folder}/"] = _TESTS[folder]
    return found


def _first_line(name: str) -> str:
    return (ast.get_docstring(syntax(name)) or "").split("\n")[0]


def lines() -> Iterator[str]:
    """Yield the map, one line for each folder and file, indented by depth."""
    told: set[str] = set()
    for path, what in sorted(entries().items(), key=_house_order):
        parts = path.rstrip("/").split("/")
        if parts[0] == "tests" and "tests/" not in told:
            told.add("tests/")
            yield "tests/"
        name = f"{'  ' * (len(parts) - 1)}{parts[-1]}{'/' if path.endswith('/') else ''}"
        yield f"{name:{_WIDTH}}{what}".rstrip()


def _house_order(entry: tuple[str, str]) -> tuple[int, str]:
    top = ("annotate", "store", "capture", "tests").index(entry[0].split("/")[0])
    # A folder's own line comes before its files, sub-folders after them.
    head, _, last = entry[0].rstrip("/").rpartition("/")
    is_folder = entry[0].endswith("/")
    return top, f"{head}/{last}/ " if is_folder else f"{head}/ {last}"


def read_map(document: str) -> set[str]:
    """Return the paths that a printed map names."""
    paths: set[str] = set()
    stack: list[str] = []
    for line in document.splitlines():
        name = line.split()[0]
        depth = (len(line) - len(line.lstrip())) // 2
        stack[depth:] = [name.rstrip("/")]
        paths.add("/".join(stack) + ("/" if name.endswith("/") else ""))
    return paths


def write() -> None:
    """Put the map into DEVELOPERS.md, in the place of the one that is there."""
    path = ROOT / "DEVELOPERS.md"
    fresh = "```text\n" + "\n".join(lines()) + "\n```"
    document = path.read_text(encoding="utf-8")
    replaced = re.sub(r"```text\n.*?\n```", lambda _: fresh, document, count=1, flags=re.DOTALL)
    path.write_text(replaced, encoding="utf-8")


if __name__ == "__main__":
    write() if "--write" in sys.argv else print("\n".join(lines()))
