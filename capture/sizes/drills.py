"""Number and letter drills, in inches.

Numbers 53 to 80: "Metric, Inch, & Fractional Inch: Drills, Sizes, Threads, & Preferred Sizes",
v.2 (2007), a table in the public domain. Numbers 1 to 52 and the letters (ASME B94.11M) are from
memory; some of them were seen in print, as their tests say.
"""

from collections.abc import Mapping
from fractions import Fraction

_NUMBERS = """
    2280 2210 2130 2090 2055 2040 2010 1990 1960 1935 1910 1890 1850 1820 1800 1770 1730 1695 1660
    1610 1590 1570 1540 1520 1495 1470 1440 1405 1360 1285 1200 1160 1130 1110 1100 1065 1040 1015
    0995 0980 0960 0935 0890 0860 0820 0810 0785 0760 0730 0700 0670 0635 0595 0550 0520 0465 0430
    0420 0410 0400 0390 0380 0370 0360 0350 0330 0320 0310 0292 0280 0260 0250 0240 0225 0210 0200
    0180 0160 0145 0135
"""  # ten-thousandths of an inch, from no. 1 on
_LETTERS = """
    234 238 242 246 250 257 261 266 272 277 281 290 295 302 316 323 332 339 348 358 368 377 386 397
    404 413
"""  # thousandths of an inch, from A on

NUMBER_DRILLS_IN: Mapping[int, Fraction] = {
    number: Fraction(int(tenths), 10_000) for number, tenths in enumerate(_NUMBERS.split(), 1)
}
LETTER_DRILLS_IN: Mapping[str, Fraction] = {
    letter: Fraction(int(thou), 1000)
    for letter, thou in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", _LETTERS.split(), strict=True)
}
