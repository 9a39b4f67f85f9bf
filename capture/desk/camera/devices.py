"""Which cameras there are. Asking costs next to nothing and opens none of them. No Qt."""

import re
import sys
from pathlib import Path

from msgspec import Struct

_NODES, _NAMED = Path("/dev"), Path("/sys/class/video4linux")
_NODE = re.compile(r"video(\d+)")
_GUESSED = 5  # indices that are offered where a system does not list its cameras


class Device(Struct, frozen=True):
    """A camera by the number it is opened with. ``listed``: the system says that it is there."""

    index: int
    name: str
    listed: bool = True


def cameras(
    nodes: Path = _NODES, named: Path = _NAMED, platform: str = sys.platform
) -> tuple[Device, ...]:
    """Return the cameras, those with their names on Linux, elsewhere the numbers to try."""
    if platform != "linux":
        return tuple(Device(i, f"camera {i + 1}", listed=False) for i in range(_GUESSED))
    found = []
    for path in sorted(nodes.glob("video*")):
        number = _NODE.fullmatch(path.name)
        # A camera has several nodes; the first gives its pictures, the others tell about them.
        if number is not None and _read(named / path.name / "index") in {"", "0"}:
            name = _read(named / path.name / "name") or f"camera {path.name}"
            found.append(Device(int(number[1]), name))
    return tuple(sorted(found, key=lambda device: device.index))


def is_there() -> bool:
    """Return whether the system lists a camera; False where it lists none or can't tell."""
    return any(device.listed for device in cameras())


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return ""
