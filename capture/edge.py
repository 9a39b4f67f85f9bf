"""Where the program meets the machine: its clock, its user's name, its bench, its version."""

from collections.abc import Callable
from typing import NamedTuple


class Edge(NamedTuple):
    """What a verb may know of the machine. ``clock`` returns ISO 8601 with offset."""

    clock: Callable[[], str]
    by: str
    bench_of: Callable[[], str]
    version_of: Callable[[], str]

    @property
    def bench(self) -> str:
        """The bench's name; looked up only when asked for."""
        return self.bench_of()

    @property
    def version(self) -> str:
        """The program's version; looked up only when asked for, which takes 20 ms."""
        return self.version_of()


def edge_of_machine(by: str | None = None) -> Edge:
    """Return the machine's own edge; ``by`` is the name typed with --by, if any."""
    return Edge(clock=_now, by=by or _login(), bench_of=_bench, version_of=version)


def version() -> str:
    """Return this program's version."""
    from importlib.metadata import PackageNotFoundError  # noqa: PLC0415 - 20 ms, rarely needed
    from importlib.metadata import version as installed  # noqa: PLC0415 - the same

    try:
        return installed("benchproof")
    except PackageNotFoundError:
        return "from source"


def _now() -> str:
    from datetime import datetime  # noqa: PLC0415 - only where something is filed

    return datetime.now().astimezone().isoformat(timespec="seconds")


def _login() -> str:
    import getpass  # noqa: PLC0415 - only where something is filed
    import os  # noqa: PLC0415 - the same

    named = os.environ.get("BENCHPROOF_BY", "").strip()
    if named:
        return named
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "not said"


def _bench() -> str:
    import os  # noqa: PLC0415 - only where something is filed
    import platform  # noqa: PLC0415 - the same
    import re  # noqa: PLC0415 - the same

    named = os.environ.get("BENCHPROOF_BENCH", "") or platform.node().split(".")[0]
    return re.sub("[^a-z0-9]+", "-", named.lower()).strip("-")[:32] or "bench"
