"""Loaded once by the server that the fault tests fork their processes from: the whole program.

Without it every process would load the program anew, and its files would be among the calls seen.
"""

import importlib.metadata
from importlib import import_module
from pkgutil import walk_packages

from PIL import Image

import annotate
import capture.commands
import capture.intake
import store

_LEFT_OUT = (".pane", ".desk", ".demo", ".__main__", ".worker")  # windows, and what runs alone

for package in (annotate, capture, store):
    for module in walk_packages(package.__path__, f"{package.__name__}."):
        if not any(part in module.name for part in _LEFT_OUT):
            import_module(module.name)

# What the acts load beside it: where they need it, so that it is not among what they import above.
# That the program itself can't be loaded is for Python to say, which it does in its own words.
for name in (
    "capture.__main__", "cryptography.hazmat.primitives.asymmetric.ed25519",
    "cryptography.hazmat.primitives.serialization.ssh", "cv2", "encodings.ascii",
    "encodings.utf_16_be", "encodings.utf_8_sig", "getpass", "numpy.core.multiarray", "numpy.ma",
    "pint", "platformdirs", "scipy", "sysconfig", "termios", "uncertainties.unumpy",
):  # fmt: skip
    import_module(name)
Image.preinit()
importlib.metadata.version("pint")
