"""Words that must not be in the tree: somebody's machine, wandering addresses, unclear units."""

import re
from collections.abc import Callable

from tests.architecture.tree import text, tracked

# First folders that every machine has, or that a test of hostile names uses on purpose.
EVERY_MACHINE = {"bin", "dev", "etc", "proc", "run", "sys", "tmp", "usr", "nowhere"}
ABSOLUTE = re.compile(r"(?:(?<=[\s\"'`(=:,\[])|^)/([A-Za-z_][\w.-]*)/[\w.]")
# Standards bodies, publishers, name spaces, and names reserved for examples (RFC 2606).
ADDRESSES = re.compile(
    r"^(www\.w3\.org|doi\.org|dx\.doi\.org|www\.rfc-editor\.org|arxiv\.org|oeis\.org"
    r"|json-schema\.org|mathworld\.wolfram\.com|www\.itl\.nist\.gov|ns\.adobe\.com|www\.sqlite\.org"
    r"|.*\.?example(\.(org|com|net|invalid))?)$"
)
# A licence's own words, which may not be altered.
NOTICES = {"tests/truth/opencv-doc/copyright.debian"}
HOST = re.compile(r"https?://([^/\s\"'`)>:]+)")
NUMBERED = re.compile(r"\b(issue|ticket|pull request|PR)s?\s*#?\d", re.IGNORECASE)
BARE_MIL = re.compile(r"\d\s?mils?\b", re.IGNORECASE)


def lines_with(pattern: re.Pattern[str], *, strange: Callable[[str], bool]) -> list[str]:
    """Return "file:line found" for every match in a tracked text that is strange."""
    return [
        f"{name}:{number} {found}"
        for name in tracked()
        if name not in NOTICES
        for number, line in enumerate((text(name) or "").splitlines(), 1)
        for found in pattern.findall(line)
        if strange(found)
    ]


def test_no_path_of_one_machine() -> None:
    assert lines_with(ABSOLUTE, strange=lambda first: first not in EVERY_MACHINE) == []


def test_every_address_is_a_standards_one_or_an_example() -> None:
    assert lines_with(HOST, strange=lambda host: not ADDRESSES.match(host)) == []


def test_nothing_is_explained_by_a_number_somewhere_else() -> None:
    assert lines_with(NUMBERED, strange=bool) == []


def test_no_bare_mil() -> None:
    """A thousandth of an inch to some, a millimetre to others."""
    assert lines_with(BARE_MIL, strange=bool) == []


def test_the_patterns_catch_what_they_are_for() -> None:
    root = "/"
    assert ABSOLUTE.findall(f"see {root}somebody{root}notes.txt") == ["somebody"]
    assert not ABSOLUTE.findall("N/mm/s and <path d='M0 0'/> and a/b/c")
    assert not ADDRESSES.match(HOST.findall("http:" + "//registry.invalid/x")[0])
    assert NUMBERED.search("see issue" + " 12")
    assert BARE_MIL.search("3" + " mil")
    assert not BARE_MIL.search("3 millimetres")
