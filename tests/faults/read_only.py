"""Commands run on a book that can't be written to: on read-only media, or without permission.

Two ways, each in a process of its own. "mounted": the book's folder mounted read-only in a mount
name space of that process, which only root may do, and not in every container. "not permitted":
nobody may write there; root is held to that by having every capability taken away (setpriv).
"""

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.architecture.tree import ROOT

_MOUNT = 'mount --bind "$0" "$0" && mount -o remount,ro,bind "$0" && exec "$@"'
_NO_RIGHTS = ["setpriv", "--inh-caps=-all", "--bounding-set=-all"]
_RUN = """
import json, sys
from tests.capture.command import run
print(json.dumps([list(run(*words)) for words in json.loads(sys.argv[1])]))
"""


def ways() -> list[str]:
    """Return the ways that this machine and this user allow."""
    tried = subprocess.run(
        ["unshare", "--mount", "mount", "--bind", "tests", "tests"],
        cwd=ROOT, capture_output=True, check=False,
    )  # fmt: skip
    return ["not permitted", *(["mounted"] if tried.returncode == 0 else [])]


def run_read_only(folder: Path, commands: list[list[str]], way: str) -> list[tuple[int, str, str]]:
    """Return (exit code, stdout, stderr) of each command, run where ``folder`` is read-only."""
    run = [sys.executable, "-c", _RUN, json.dumps(commands)]
    if way == "mounted":
        run = ["unshare", "--mount", "sh", "-c", _MOUNT, str(folder), *run]
    else:
        _set(folder, 0o555, 0o444)
        run = [*(_NO_RIGHTS if os.geteuid() == 0 else []), *run]
    try:
        done = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=False)
    finally:
        if way != "mounted":
            _set(folder, 0o755, 0o644)
    assert done.returncode == 0, done.stderr
    return [tuple(each) for each in json.loads(done.stdout)]


def _set(folder: Path, of_folders: int, of_files: int) -> None:
    for path in (folder, *folder.rglob("*")):
        path.chmod(of_folders if path.is_dir() else of_files)
