"""What `pip install .` puts on a machine: everything the code opens, and nothing of the tests."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.architecture.tree import ROOT, tracked


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Return the names in a wheel built from the tracked files, as pip would build it."""
    source, out = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in tracked():
        (source / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, source / name)
    pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*pip, "--wheel-dir", str(out), str(source)], check=True, capture_output=True)
    (wheel,) = Path(out).glob("benchproof-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_every_file_of_the_packages_is_shipped(packed: set[str]) -> None:
    ours = {n for n in tracked() if n.split("/")[0] in {"annotate", "store", "capture"}}
    assert ours - packed == set()


def test_the_demos_pictures_and_their_answers_are_shipped(packed: set[str]) -> None:
    samples = {name for name in tracked() if name.startswith("sample_images/")}
    assert {"sample_images/SOURCES.md", "sample_images/answers.toml"} <= samples
    assert samples - packed == set()


def test_nothing_else_is_shipped(packed: set[str]) -> None:
    top = {name.split("/")[0] for name in packed}
    assert top == {"annotate", "store", "capture", "sample_images", "benchproof-0.12.0.dist-info"}
