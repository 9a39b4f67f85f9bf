"""The pane's own numbers run without a window."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import annotate.pane

FOLDER = Path(annotate.pane.__file__).parent
PLAIN = (
    "editing",
    "handles",
    "levels",
    "outlines",
    "pins",
    "plates",
    "quick_fit",
    "rim_fit",
    "shown",
    "tools",
    "trace",
)


@pytest.mark.parametrize("name", PLAIN)
def test_a_plain_module_loads_neither_qt_nor_opencv(name) -> None:
    code = (
        f"import sys, annotate.pane.{name}; "
        "sys.exit(bool({'PySide6', 'shiboken6', 'cv2'} & set(sys.modules)))"
    )
    root = FOLDER.parents[1]
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


def test_every_other_module_is_there_because_of_qt() -> None:
    others = {p.stem for p in FOLDER.glob("*.py")} - set(PLAIN) - {"__init__"}
    for name in others:
        tree = ast.parse((FOLDER / f"{name}.py").read_text(encoding="utf-8"))
        froms = [n.module or "" for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)]
        assert any(module.startswith("PySide6") for module in froms), name
