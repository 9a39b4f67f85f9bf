"""What every test starts from: no screen, repeatable examples, seeds in the header."""

import os
from collections.abc import Iterator

# Before anything can import Qt: a machine without a screen runs the same tests.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from hypothesis import HealthCheck, settings

# Derandomised: the examples follow from the test itself, so a failure here is a failure there.
# BENCHPROOF_PROFILE=search looks for new ones instead; hypothesis then prints how to repeat one.
settings.register_profile(
    "same",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("search", deadline=None, max_examples=1000, print_blob=True)
_PROFILE = os.environ.get("BENCHPROOF_PROFILE", "same")
settings.load_profile(_PROFILE)


_HOMES = ("CACHE", "DATA", "CONFIG", "STATE")


@pytest.fixture(scope="session", autouse=True)
def _no_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep what is made once for many tests out of the user's own folders too.

    Such a fixture comes before ``_own_cache``; tests that run beside it share the user's home.
    """
    with pytest.MonkeyPatch.context() as patch:
        for name in _HOMES:
            patch.setenv(f"XDG_{name}_HOME", str(tmp_path_factory.mktemp(f"home-{name.lower()}")))
        yield


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no test find an answer, a signing key or a window's memory that another one had."""
    for name in _HOMES:
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path_factory.mktemp(name.lower())))


@pytest.fixture
def qtbot(qapp: object, request: pytest.FixtureRequest) -> object:
    """Wait at the window as long as a busy machine needs."""
    from tests.patient import PatientBot  # noqa: PLC0415 - Qt only where a window is tested

    return PatientBot(request)


def pytest_report_header() -> str:
    """Say how examples were chosen; pytest-randomly prints the order's seed beside it."""
    chosen = "derandomised (seed = the test)" if _PROFILE == "same" else "searching (blob printed)"
    return f"hypothesis profile {_PROFILE}: {chosen}"
