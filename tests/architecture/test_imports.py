"""What import-linter cannot see: what is loaded at run time, and what `__init__` files hold.

An import planted in an `__init__.py` can pass every contract and still load Qt everywhere; these
tests start a fresh interpreter and look.
"""

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.tree import PACKAGES, ROOT, python_files, syntax

# The two places of the window; everything else runs on a machine without one.
WINDOW = ("annotate.pane", "capture.desk")
# Each of these costs more than 40 ms to import, or a window system.
HEAVY = ("PySide6", "cv2", "pint", "typst", "PIL", "pi_heif", "scipy", "matplotlib")


def loaded_by(code: str, among: tuple[str, ...]) -> set[str]:
    """Return which of these packages a fresh interpreter has loaded after running ``code``."""
    probe = f"{code}\nimport sys; print('LOADED', *[m for m in {among!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", probe], cwd=ROOT, capture_output=True, text=True, check=True
    )
    last = done.stdout.strip().splitlines()[-1].split()
    assert last[0] == "LOADED"
    return set(last[1:])


def modules_of(package: str) -> list[str]:
    """Return all modules of a package that run without a window."""
    found = []
    for name in python_files(package):
        module = name.removesuffix(".py").replace("/", ".").removesuffix(".__init__")
        if not (
            module.endswith(".__main__") or f"{module}.".startswith(tuple(f"{w}." for w in WINDOW))
        ):
            found.append(module)
    return found


@pytest.mark.parametrize("package", PACKAGES)
def test_no_module_loads_qt(package: str) -> None:
    code = "\n".join(f"import {module}" for module in modules_of(package))
    assert loaded_by(code, ("PySide6", "shiboken6")) == set()


@pytest.mark.parametrize("package", PACKAGES)
def test_importing_a_package_alone_loads_nothing_heavy(package: str) -> None:
    assert loaded_by(f"import {package}", (*HEAVY, "numpy")) == set()


@pytest.mark.parametrize("package", ["annotate", "store"])
def test_modules_leave_heavy_imports_to_the_function_that_needs_them(package: str) -> None:
    code = "\n".join(f"import {module}" for module in modules_of(package))
    assert loaded_by(code, HEAVY) == set()


def test_the_probe_sees_what_is_loaded() -> None:
    assert loaded_by("import cv2", HEAVY) == {"cv2"}


@pytest.mark.parametrize("name", [n for n in python_files(*PACKAGES) if n.endswith("__init__.py")])
def test_init_files_hold_only_a_docstring(name: str) -> None:
    body = syntax(name).body
    assert len(body) == 1
    assert isinstance(body[0], ast.Expr)
    assert isinstance(body[0].value, ast.Constant)
    assert isinstance(body[0].value.value, str)


def test_a_planted_wrong_way_import_is_caught(tmp_path: Path) -> None:
    """The contracts themselves are tested: a linter that passes everything would pass here too."""
    for package in PACKAGES:
        shutil.copytree(ROOT / package, tmp_path / package)
    shutil.copy(ROOT / ".importlinter", tmp_path)
    planted = {
        "annotate/marks.py": "from store import plan",  # upwards between packages
        "annotate/errors.py": "from annotate import marks",  # upwards inside one
        "annotate/quantity.py": "import json",
        "annotate/pixels/polar.py": "from annotate.near_edges import rings",  # between rooms
        "annotate/optics/profile.py": "from annotate.optics import lens",  # inside a room
        "annotate/optics/cupboard.py": "",  # a new file in a room without a place
        "store/plan.py": "import sqlite3",
        "store/verdict.py": "import PySide6.QtCore",
        "store/budgets/budget.py": "from store.told import telling",  # between rooms
        "store/files/disk.py": "from store.files import halfmade",  # inside a room
        "store/known/cupboard.py": "",  # a new file in a room without a place
        "store/many_jobs/sought.py": "import sqlite3",  # beside the file of the index
        "annotate/drawings/overlay.py": "from PySide6 import QtGui",  # beside the pane is not in it
        "capture/plans/__init__.py": "import urllib.request",
        "annotate/drawer.py": "",  # a new file without a place
    }
    for name, line in planted.items():
        with (tmp_path / name).open("a", encoding="utf-8") as file:
            file.write(f"\n{line}\n")
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run(
        [str(lint), "--no-logo", "--no-cache"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(tmp_path), "PATH": "", "LC_ALL": "C.UTF-8"},
    )
    assert done.returncode == 1
    report = " ".join(done.stdout.split())
    for told in (
        "store.plan",
        "annotate.errors -> annotate.marks",
        "annotate.quantity -> json",
        "annotate.pixels.polar -> annotate.near_edges.rings",
        "annotate.optics.profile -> annotate.optics.lens",
        "annotate.optics.cupboard",
        "store.plan -> sqlite3",
        "store.verdict -> PySide6",
        "store.budgets.budget -> store.told.telling",
        "store.files.disk -> store.files.halfmade",
        "store.known.cupboard",
        "store.many_jobs.sought -> sqlite3",
        "annotate.drawings.overlay -> PySide6",
        "capture.plans -> urllib",
        "annotate.drawer",
    ):
        assert told in report
