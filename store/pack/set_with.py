"""What a report was set with: who has the same programs can set it again, byte for byte."""

from importlib.metadata import version as version_of

_OTHERS = ("typst", "Pillow", "pyHanko")  # what decides how the pages come out, beside us


def set_with(version: str) -> str:
    """Return what a report is set with here: this program's version, and those of others."""
    others = (f"{name} {version_of(name)}" for name in _OTHERS)
    return ", ".join((f"benchproof {version}", *others))
