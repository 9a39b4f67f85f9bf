"""Whatever is typed behind a verb: a documented exit code, one sentence, and never a traceback."""

import argparse
import os
import shutil
import signal
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import pytest

from capture.commands.edge import shown
from capture.commands.exits import OUR_BUG
from capture.commands.verbs import EXIT_CODES, VERBS
from tests.capture.command import Done, run
from tests.store.small_job import new_book

DOCUMENTED = {int(line.split()[0]) for line in EXIT_CODES.splitlines()[1:]} - {OUR_BUG}
# The window never comes back, the demo takes a minute and no words.
TRIED = sorted(set(VERBS) - {"desk", "demo"})
SETS_PAGES = {"tags", "pack", "sheet", "report", "card"}  # and takes a second for each
_ROOT = Path(__file__).parents[2]


@pytest.fixture
def words(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Words that nobody should type, and paths that nobody should name."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "binary.toml").write_bytes(bytes(range(256)) * 20)
    (tmp_path / "folder").mkdir()
    (tmp_path / "empty.jpg").touch()
    (tmp_path / "locked.csv").touch(mode=0)
    os.mkfifo(tmp_path / "pipe.png")
    return [
        "missing/of/course.jpg", "binary.toml", "folder", "empty.jpg", "locked.csv", "pipe.png",
        "", " ", "x" * 6000, "\x1b[2J\x07", "a\nb", "\u202egpj.exe", "-1", "0x10", "1e400",
        "9" * 400, "/dev/null", "P3.bore", "{}", "%s%n", "\udcff", "../../../../etc/hostname",
    ]  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("made") / "book"
    new_book(root).close()
    return root


@pytest.fixture
def book(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "book"))


def complaint(done: Done, *arguments: str) -> list[str]:
    """Return what is wrong with how a command ended, as a list of none or one."""
    text = done.out + done.err
    strange = {c for c in text if unicodedata.category(c) in {"Cc", "Cf"}} - {"\n", "\t"}
    told = ascii([each[:60] for each in arguments])
    if done.code not in DOCUMENTED:
        return [f"{told} ends with {done.code}: {text[-300:]}"]
    if "Traceback" in text:
        return [f"{told} shows a traceback"]
    if strange and not done.err.startswith("usage"):
        return [f"{told} prints {strange!a}"]
    return []


def tried(*arguments: str) -> list[str]:
    return complaint(run(*arguments), *arguments)


@pytest.mark.parametrize("verb", TRIED)
def test_any_words_in_the_places_of_a_verb(verb: str, words: list[str], book: Path) -> None:
    found: list[str] = []
    for word in words[:: 4 if verb in SETS_PAGES else 1]:
        found += tried(verb, word, *[word] * (len(word) % 2))
        found += tried(verb, str(book), word)
        found += tried(verb, str(book), "P3.bore", word)
    assert found == []


@pytest.mark.parametrize("verb", TRIED)
def test_any_words_behind_the_options_of_a_verb(verb: str, words: list[str], book: Path) -> None:
    found: list[str] = []
    for option, places in options_of(verb):
        for word in words[len(option) % 3 :: 9 if verb in SETS_PAGES else 3]:
            found += tried(verb, str(book), *["P3.bore"] * (places - 1), f"{option}={word}")
    assert found == []


def options_of(verb: str) -> Iterator[tuple[str, int]]:
    """Yield each option of a verb that takes a word, and how many places the verb has."""
    parser = argparse.ArgumentParser()
    import_module(f"capture.commands.{verb}").configure(parser)
    places = sum(not action.option_strings for action in parser._actions)
    for action in parser._actions:
        if action.option_strings and action.nargs != 0:
            yield action.option_strings[-1], places


def test_what_a_terminal_obeys_is_shown_by_its_number() -> None:
    assert shown("a\x1b[2J\u202eb\x9b\r\u2028") == "a\\u001b[2J\\u202eb\\u009b\\u000d\\u2028"
    assert shown("20 °C ± ½ µm\n\tÅngström – 测") == "20 °C ± ½ µm\n\tÅngström – 测"


def test_ctrl_c_before_the_first_sentence_is_no_traceback() -> None:
    """Stopped while its first modules load, one after the other."""
    code = (
        "import os, runpy, signal, sys\n"
        "class Stop:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == os.environ['STOP_AT']:\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Stop())\n"
        "sys.argv = ['benchproof', 'round', 'no-such-book']\n"
        "runpy.run_module('capture', run_name='__main__')\n"
    )
    for name in ("argparse", "capture.commands.verbs", "capture.commands.round", "capture.edge"):
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=_ROOT,
            env={**os.environ, "STOP_AT": name},
        )  # fmt: skip
        assert done.returncode in {-signal.SIGINT, 130}, (name, done.stderr)
        assert "Traceback" not in done.stderr, name
        assert done.stdout == ""
