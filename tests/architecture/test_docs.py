"""The documents say what is so: their commands are run here, their maps compared with the tree."""

import ast
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from capture.commands.verbs import EXIT_CODES, VERBS
from tests.architecture.house_map import entries, read_map
from tests.architecture.tree import ROOT, syntax, tracked

README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def fenced(document: str, language: str = "sh") -> list[str]:
    """Return the fenced blocks of one language, in order."""
    return [body.strip() for lang, body in FENCE.findall(document) if lang == language]


def commands_of(script: str) -> list[str]:
    """Return what a small shell script runs, without its comments and set-up lines."""
    lines = (ROOT / script).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith(("#", "set ", "cd "))]


def tour() -> list[tuple[list[str], int]]:
    """Return every benchproof command of the README and the exit code it says, 0 if none."""
    steps = []
    for block in fenced(README)[2:]:
        for line in block.replace("\\\n", " ").splitlines():
            command, _, comment = line.partition("    #")
            told = re.search(r"ends with (\d+)", comment)
            steps.append((shlex.split(command), int(told[1]) if told else 0))
    return steps


def test_readme_opens_with_one_paragraph_and_two_commands() -> None:
    title, job, told, first, between, second = README.split("\n\n")[:6]
    assert title == "# Benchproof"
    assert job.count(".") >= 3
    assert "```" not in job + told + between
    assert [first, second.strip()] == ["```sh\nsh .ci/demo\n```", "```sh\nsh .ci/test\n```"]


def test_the_machine_runs_the_readmes_test_command_and_nothing_else() -> None:
    assert commands_of(".ci/run") == [f"exec {fenced(README)[1]}"]


def test_the_readmes_commands_name_scripts_that_are_there() -> None:
    for command in fenced(README)[:2]:
        assert command.split()[1] in tracked()


def test_the_readmes_tour_ends_as_it_says(tmp_path: Path) -> None:
    """Every command of the tour, in order, in a folder that only has the clone's pictures."""
    shutil.copytree(ROOT / "sample_images", tmp_path / "sample_images")
    shutil.copytree(ROOT / "capture/plans", tmp_path / "capture/plans")
    assert len(tour()) >= 9
    for words, code in tour():
        assert words[0] == "benchproof"
        done = subprocess.run(
            # -P: the clone's package, not the folder of plans copied here.
            [sys.executable, "-P", "-m", "capture", *words[1:]],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, f"{shlex.join(words)}\n{done.stdout}{done.stderr}"
        assert "Traceback" not in done.stderr
    assert (tmp_path / "job-12-report.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_in_the_readme(verb: str) -> None:
    assert re.search(rf"`?(benchproof )?{verb}\b", README)


def test_the_readmes_exit_codes_are_the_commands() -> None:
    printed = dict(re.findall(r"^  (\d+) +(.+)$", EXIT_CODES, re.MULTILINE))
    listed = dict(re.findall(r"^\| (\d+) \| (.+?)(?:;.*)? \|$", README, re.MULTILINE))
    assert listed == printed


def test_the_map_of_the_house_is_the_tree() -> None:
    """``python -m tests.architecture.house_map --write`` brings it up to date."""
    assert read_map(fenced(DEVELOPERS, "text")[0]) == set(entries()) | {"tests/"}


@pytest.mark.parametrize("package", ["annotate", "store", "capture"])
def test_every_error_is_in_the_tree_drawn_above_it(package: str) -> None:
    module = syntax(f"{package}/errors.py")
    drawn = re.findall(r"^ *([A-Z]\w+)", ast.get_docstring(module) or "", re.MULTILINE)
    assert set(drawn) >= {node.name for node in module.body if isinstance(node, ast.ClassDef)}


def test_user_visible_changes_have_their_fragments() -> None:
    fragments = [name for name in tracked() if name.startswith(".changes/")]
    assert fragments
    for name in fragments:
        words = (ROOT / name).read_text(encoding="utf-8").strip()
        assert words.endswith(".")
        assert len(words.splitlines()) <= 12
