"""What a search has found is read again: inputs that reach far, and all that once did harm.

``python -m tests.hostile.fuzz`` makes both. Beside them, a few hundred mutants of a fixed seed.
"""

import zipfile
from collections.abc import Sequence
from itertools import islice
from pathlib import Path

import pytest

from tests.hostile.mutants import mutants
from tests.hostile.targets import TARGETS, outcome

_HERE = Path(__file__).parent
# One reading of these takes a tenth of a second: they get by with fewer.
_SLOW = {"bag": 8, "layer": 8, "zip": 60, "plan": 60, "sheet": 60}


def kept(target: str) -> list[bytes]:
    """Return the inputs that reached most when they were found."""
    path = _HERE / "corpus" / f"{target}.zip"
    with zipfile.ZipFile(path) as archive:
        return [archive.read(name) for name in archive.namelist()]


def harmful(target: str) -> list[bytes]:
    """Return the inputs that did harm once."""
    return [path.read_bytes() for path in sorted((_HERE / "harmful" / target).glob("*"))]


def complaints(target: str, inputs: Sequence[bytes]) -> list[str]:
    found = ((data, outcome(TARGETS[target], data)) for data in inputs)
    return [f"{type(error).__name__}: {error}: {data[:200]!r}" for data, error in found if error]


@pytest.mark.parametrize("target", TARGETS)
def test_what_reaches_far_is_read_or_refused(target: str) -> None:
    inputs = kept(target)
    assert inputs
    assert complaints(target, inputs[:: max(1, len(inputs) // _SLOW.get(target, 200))]) == []


@pytest.mark.parametrize("target", TARGETS)
def test_what_once_did_harm_does_none(target: str) -> None:
    assert complaints(target, harmful(target)) == []


@pytest.mark.parametrize("target", TARGETS)
def test_sound_inputs_and_their_mutants_are_read_or_refused(target: str) -> None:
    seeds = list(TARGETS[target].seeds())
    some = list(islice(mutants(seeds, seed=1), _SLOW.get(target, 200)))
    assert complaints(target, [*seeds[:20], *some]) == []
