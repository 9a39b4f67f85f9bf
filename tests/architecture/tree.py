"""The tracked files of this clone, and their syntax trees."""

import ast
import subprocess
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("annotate", "store", "capture")


@cache
def tracked() -> tuple[str, ...]:
    """Return every tracked file that exists, as a path from the root with forward slashes."""
    # safe.directory: a clone made by another user of this machine is read here, nothing more.
    listed = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    ).stdout.decode()
    return tuple(sorted(name for name in listed.split("\0") if name and (ROOT / name).exists()))


def python_files(*under: str) -> list[str]:
    """Return the tracked Python files below these top-level folders."""
    return [name for name in tracked() if name.endswith(".py") and name.split("/")[0] in under]


@cache
def syntax(name: str) -> ast.Module:
    """Return the syntax tree of one tracked Python file."""
    return ast.parse((ROOT / name).read_text(encoding="utf-8"), filename=name)


@cache
def text(name: str) -> str | None:
    """Return a tracked file as text, None for a picture or other binary file."""
    try:
        return (ROOT / name).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def dotted(node: ast.expr) -> str:
    """Return "a.b.c" for an attribute or name, "" for anything else."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        before = dotted(node.value)
        return f"{before}.{node.attr}" if before else node.attr
    return ""


def calls(name: str) -> list[tuple[int, str]]:
    """Return (line, dotted name) of every call in one tracked Python file."""
    return [
        (node.lineno, dotted(node.func))
        for node in ast.walk(syntax(name))
        if isinstance(node, ast.Call)
    ]
