"""The command run in this process: exit code, stdout, stderr."""

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any, NamedTuple

from capture.__main__ import main

SAMPLES = Path(__file__).parents[2] / "sample_images"
FILES = Path(__file__).parent / "files"


class Done(NamedTuple):
    code: int
    out: str
    err: str

    def answer(self) -> dict[str, Any]:
        """Return stdout as the one JSON object it must be."""
        found = json.loads(self.out)
        assert isinstance(found, dict)
        return found


def run(*arguments: str | Path) -> Done:
    """Run one command; whatever happens, no traceback may be shown."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(argument) for argument in arguments])
    assert "Traceback" not in out.getvalue() + err.getvalue()
    return Done(code, out.getvalue(), err.getvalue())


def points(pairs: list[list[float]]) -> str:
    """Return points as the command takes them."""
    return " ".join(f"{x},{y}" for x, y in pairs)
