"""Promises of the house that hold for every line of code."""

import ast
import re

import pytest

from tests.architecture.tree import (
    PACKAGES,
    ROOT,
    calls,
    dotted,
    python_files,
    syntax,
    text,
    tracked,
)

OPENERS = re.compile(
    r"(^|\.)(open|imread|imreadmulti|imwrite|VideoCapture|FileStorage|fromfile|tofile|loadtxt"
    r"|savetxt|genfromtxt|memmap|savez|read_text|read_bytes|write_text|write_bytes)$"
    r"|^(np|numpy)\.(load|save)$"
)
CLOCKS = re.compile(
    r"(^|\.)(now|utcnow|today|time_ns|getuser|getlogin|gethostname)$|^time\.(time|localtime|gmtime)$"
    r"|^(platform|socket)\.(node|uname)$"
)
# Where the command line meets the machine: the only places that may ask it for time and name.
ASKS_THE_MACHINE = ("capture/edge.py", "capture/__main__.py", "capture/commands")
PRINTS = ("capture/__main__.py", "capture/commands")


def found(pattern: re.Pattern[str], *packages: str, allowed: tuple[str, ...] = ()) -> list[str]:
    return [
        f"{name}:{line} {called}"
        for name in python_files(*packages)
        if not name.startswith(allowed or ("\0",))
        for line, called in calls(name)
        if pattern.search(called)
    ]


def test_annotate_opens_no_file() -> None:
    assert found(OPENERS, "annotate") == []


def test_the_opener_pattern_knows_an_opener_from_another_word() -> None:
    assert all(OPENERS.search(c) for c in ("open", "cv2.imread", "np.load", "path.read_bytes"))
    assert not any(OPENERS.search(c) for c in ("reopen", "Known", "json.loads", "loads"))


def test_clock_and_name_are_asked_only_where_the_command_starts() -> None:
    """So that a run can be repeated to the byte: everything below takes them as arguments."""
    assert found(CLOCKS, *PACKAGES, allowed=ASKS_THE_MACHINE) == []


def test_only_the_command_line_prints() -> None:
    assert found(re.compile(r"^print$|^pprint"), *PACKAGES, allowed=PRINTS) == []


def test_nothing_evaluates_text() -> None:
    assert found(re.compile(r"^(eval|exec|pickle\.loads?|yaml\.load)$"), *PACKAGES) == []


def test_no_stub_is_left() -> None:
    stubs = [
        f"{name}:{node.lineno}"
        for name in python_files(*PACKAGES)
        for node in ast.walk(syntax(name))
        if isinstance(node, ast.Name) and node.id == "NotImplementedError"
    ]
    assert stubs == []


def test_no_test_is_skipped_or_expected_to_fail() -> None:
    marks = re.compile(r"(^|\.)(skip|skipif|xfail|importorskip)$")
    used = [
        f"{name}:{node.lineno}"
        for name in python_files("tests")
        for node in ast.walk(syntax(name))
        if isinstance(node, ast.Attribute) and marks.search(dotted(node))
    ]
    assert used == []


def test_every_test_can_fail() -> None:
    """A test without assert, raises or a checking call asserts nothing."""
    checking = re.compile(
        r"(^|\.)(assert_\w+|raises|fail|check_\w+|warns|run_state_machine_as_test)$"
    )
    empty = []
    for name in python_files("tests"):
        for node in ast.walk(syntax(name)):
            if not (isinstance(node, ast.FunctionDef) and node.name.startswith("test_")):
                continue
            inside = list(ast.walk(node))
            asserts = any(isinstance(n, ast.Assert) for n in inside)
            checks = any(
                isinstance(n, ast.Call) and checking.search(dotted(n.func)) for n in inside
            )
            if not (asserts or checks):
                empty.append(f"{name}:{node.lineno} {node.name}")
    assert empty == []


def test_every_exemption_names_its_rule_and_its_reason() -> None:
    bare = []
    for name in python_files(*PACKAGES, "tests"):
        for number, line in enumerate((text(name) or "").splitlines(), 1):
            if re.search(r"#\s*noqa", line) and not re.search(
                r"# noqa: [A-Z]+\d+(, [A-Z]+\d+)* - \S", line
            ):
                bare.append(f"{name}:{number}")
            if re.search(r"#\s*type:\s*ignore(?!\[[a-z-]+(, ?[a-z-]+)*\])", line):
                bare.append(f"{name}:{number}")
            if re.search(r"#\s*pragma:\s*no\s*cover", line):
                bare.append(f"{name}:{number}")
    assert [b for b in bare if not b.startswith("tests/architecture/test_promises.py")] == []


def test_nothing_else_lies_at_the_top() -> None:
    allowed = {
        "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
        "annotate", "store", "capture", "tests", "sample_images",
    }  # fmt: skip
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} - allowed == set()


@pytest.mark.parametrize("name", python_files(*PACKAGES))
def test_modules_are_nouns_with_a_docstring(name: str) -> None:
    drawers = {"utils", "util", "misc", "helpers", "helper", "common", "manager", "managers"}
    assert not drawers & set(name.removesuffix(".py").split("/"))
    assert ast.get_docstring(syntax(name)), f"{name} does not say what it is"
    assert (ROOT / name).stat().st_size < 40_000, f"{name} has grown into several things"
