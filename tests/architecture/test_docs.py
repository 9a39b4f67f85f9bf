"""The documents say what is so: their commands are run here, their maps compared with the tree."""

import re

from tests.architecture.tree import ROOT, tracked

README = (ROOT / "README.md").read_text(encoding="utf-8")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def fenced(document: str, language: str = "sh") -> list[str]:
    """Return the fenced blocks of one language, in order."""
    return [body.strip() for lang, body in FENCE.findall(document) if lang == language]


def commands_of(script: str) -> list[str]:
    """Return what a small shell script runs, without its comments and set-up lines."""
    lines = (ROOT / script).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith(("#", "set ", "cd "))]


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
