"""The menu entry against the Desktop Entry Specification 1.5 (freedesktop.org)."""

import subprocess
from configparser import ConfigParser
from xml.etree import ElementTree as ET

import pytest

from capture.desk.menu_entry import add_to_menu, entry_text
from tests.capture.command import run

ODD = ("a b/bin/benchproof", "$1/`y`", 'a"b/c', "50%/b", "a\\b")


def read(text: str) -> ConfigParser:
    parser = ConfigParser(interpolation=None, strict=True, delimiters="=")
    parser.optionxform = str  # type: ignore[assignment, method-assign] # keys are case-sensitive
    parser.read_string(text)
    return parser


def test_it_has_the_keys_that_an_application_needs(tmp_path) -> None:
    entry = read(add_to_menu(tmp_path, ["benchproof"]).read_text())["Desktop Entry"]
    assert entry["Type"] == "Application"
    assert entry["Name"] == "Benchproof"
    assert entry["Exec"] == "benchproof desk %f"
    assert entry["Categories"].endswith(";")
    assert entry["Terminal"] == "false"


@pytest.mark.parametrize("path", ODD)
def test_a_path_with_odd_letters_comes_back_as_it_was(path) -> None:
    line = read(entry_text([path]))["Desktop Entry"]["Exec"]
    # As a desktop reads it: the string's own escapes, then the quoting, then the field codes.
    unescaped = line.replace("\\\\", "\\")
    told = subprocess.run(
        ["sh", "-c", f'set -- {unescaped}; printf %s "$1"'], capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert told.stdout.replace("%%", "%") == path


def test_the_icon_is_a_picture_of_its_own(tmp_path) -> None:
    add_to_menu(tmp_path, ["benchproof"])
    icon = tmp_path / "icons/hicolor/scalable/apps/benchproof.svg"
    assert ET.parse(icon).getroot().get("viewBox") == "0 0 32 32"  # noqa: S314 - our own file


def test_the_verb_writes_it_below_the_users_data(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    done = run("desk", "--add-to-menu")
    assert done.code == 0
    assert (tmp_path / "applications/benchproof.desktop").exists()
