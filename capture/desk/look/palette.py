"""The colours of the window, light and dark, each with its contrast held by a test.

The state colours are Okabe and Ito's (Color Universal Design, 2008), darkened or lightened until
they stand 4.5 : 1 from what they lie on (WCAG 2.2, 1.4.3 and 1.4.11). State colour appears in
signs, stems and blades only: never on text, a row or a background.
"""

from typing import Literal, NamedTuple

Theme = Literal["light", "dark"]


class Palette(NamedTuple):
    """One set of colours, as "#RRGGBB"."""

    theme: Theme
    ground: str  # behind the round
    sheet: str  # the work area
    well: str  # boxes to type in
    slab: str  # material: a cover, the wall of a limit
    mat: str  # behind a photo
    ink: str
    ink2: str  # captions
    edge: str  # outlines of boxes
    rule: str  # decoration only
    accent: str
    on_accent: str
    within: str
    too_close: str
    outside: str
    unknown: str  # not measured, waived
    hatch: str  # on slab
    closed: str  # a cover that is on
    on_closed: str

    def of_state(self, state: str) -> str:
        """Return the colour of a state's sign."""
        return {
            "within": self.within,
            "outside": self.outside,
            "too close to call": self.too_close,
        }.get(state, self.unknown)


LIGHT = Palette(
    theme="light", ground="#EAE8E2", sheet="#F8F7F3", well="#FFFFFF", slab="#DAD7CE",
    mat="#B9B7B0", ink="#17191C", ink2="#4B4F54", edge="#7A7A74", rule="#C9C6BD",
    accent="#005E94", on_accent="#FFFFFF", within="#006A4D", too_close="#9A3F80",
    outside="#AF4500", unknown="#4B4F54", hatch="#6A6B69", closed="#2B2E31", on_closed="#F8F7F3",
)  # fmt: skip
DARK = Palette(
    theme="dark", ground="#111315", sheet="#1B1E20", well="#0B0C0D", slab="#2A2E31",
    mat="#08090A", ink="#ECEAE4", ink2="#B1B2AE", edge="#7F8485", rule="#3A3E41",
    accent="#6CC0F0", on_accent="#0B0C0D", within="#2FB98D", too_close="#F0B4D6",
    outside="#FF8B4D", unknown="#B1B2AE", hatch="#8A8E8E", closed="#62696D", on_closed="#F4F2EC",
)  # fmt: skip
PALETTES: dict[Theme, Palette] = {"light": LIGHT, "dark": DARK}

# On a photo, the same in both themes.
ON_PHOTO = "#F4F2EC"
PLATE = "#0B0C0D"
FAR_RIM = "#6CC0F0"


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21 (WCAG 2.2, relative luminance)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]  # noqa: PLR2004 - WCAG's own threshold
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
