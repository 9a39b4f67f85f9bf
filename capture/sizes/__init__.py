"""Standard sizes near a measured one, and whether a part fits before it is driven in.

Hints to look again, never corrections and never limits: how tight a part may be is the maker's to
say.
"""

from capture.sizes.nearest import Meant, nearest
from capture.sizes.part_fit import PartFit, beside, fit, fit_part
from capture.sizes.series import NOMINAL_STEP_MM, Size, nearest_sizes

__all__ = [
    "NOMINAL_STEP_MM", "Meant", "PartFit", "Size", "beside", "fit", "fit_part", "nearest",
    "nearest_sizes",
]  # fmt: skip
