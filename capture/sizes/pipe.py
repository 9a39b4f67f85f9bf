"""Tapered pipe threads of gallery plugs: what the standard's own formulas make of each size.

ANSI/ASME B1.20.1-1983 (R2001): outside diameter D, pitch p; taper 1 in 16 on the diameter. Pitch
diameter at the small end E0 = D - (0.05 D + 1.1) p, length of effective thread
L2 = (0.8 D + 6.8) p (formulas from memory; they regenerate the printed values, and show where a
copied table is wrong). The hand-tight engagement L1 has no formula and is quoted.
"""

from fractions import Fraction
from typing import NamedTuple

TAPER = Fraction(1, 16)


class PipeThread(NamedTuple):
    """A tapered pipe thread by its nominal size; lengths in inches."""

    name: str
    outside_in: Fraction
    threads_per_inch: Fraction
    hand_tight_in: Fraction

    @property
    def pitch_in(self) -> Fraction:
        """The pitch p."""
        return 1 / self.threads_per_inch

    @property
    def small_end_in(self) -> Fraction:
        """The pitch diameter at the small end of the external thread, E0."""
        return self.outside_in - (self.outside_in / 20 + Fraction(11, 10)) * self.pitch_in

    @property
    def gauging_in(self) -> Fraction:
        """The pitch diameter at the hand-tight plane, E1 = E0 + L1 / 16."""
        return self.small_end_in + self.hand_tight_in * TAPER

    @property
    def effective_in(self) -> Fraction:
        """The length of effective external thread, L2."""
        return (self.outside_in * 4 / 5 + Fraction(34, 5)) * self.pitch_in

    @property
    def effective_end_in(self) -> Fraction:
        """The pitch diameter at the end of the effective thread, E2 = E0 + L2 / 16."""
        return self.small_end_in + self.effective_in * TAPER


def _thread(name: str, outside: str, threads: str, hand_tight: str) -> PipeThread:
    return PipeThread(name, Fraction(outside), Fraction(threads), Fraction(hand_tight))


# D, threads an inch and L1 as quoted in Machinery's Handbook, 27th edition, p. 1861.
PIPE_THREADS = (
    _thread("1/8-27", "0.405", "27", "0.1615"),
    _thread("1/4-18", "0.540", "18", "0.2278"),
    _thread("3/8-18", "0.675", "18", "0.240"),
    _thread("1/2-14", "0.840", "14", "0.320"),
)
