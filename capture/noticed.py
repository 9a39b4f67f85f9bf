"""What is noticed in a photo besides its rims: damage, and markers that nobody typed."""

from capture.intake.photo import Photo


def damage(photo: Photo) -> tuple[str, ...]:
    """Return a warning if a photo looks as a JPEG does whose bytes were damaged on their way."""
    from annotate.pixels.block_steps import block_step  # noqa: PLC0415 - loads what only this needs

    step = block_step(photo.pixels) if photo.pixels is not None else None
    if step is None:
        return ()
    axis, at = step
    told = (
        f"the picture steps in tone along a straight line at {axis} = {at}, as that of a damaged "
        "file does: look at it, and copy it from the camera again"
    )
    return (told,)


def unused_markers(photo: Photo) -> tuple[str, ...]:
    """Return a note if a marker of our own card or tags is in a photo that none was typed for.

    It is not used unasked: no printer is believed, another print may bear the same number in
    another size, and only who laid it there knows that it lies flat beside the hole.
    """
    from annotate.own_targets import (  # noqa: PLC0415 - loads what only this needs
        CARD_DICTIONARY,
        TAG_DICTIONARY,
        own_sides_mm,
    )
    from annotate.target import markers_seen  # noqa: PLC0415 - the same

    if photo.pixels is None:
        return ()
    sides = own_sides_mm({each: markers_seen(photo.pixels, each) for each in
                          (CARD_DICTIONARY, TAG_DICTIONARY)})  # fmt: skip
    if not sides:
        return ()
    listed = " and ".join(f"{side:g} mm" for side in sides)
    told = (
        f"a printed marker, of {listed} if it is of our own card or tags, is in the picture and "
        "was not used: if it lies flat beside the hole, it is a scale and tells the slant; measure "
        'its side on the print and type that: --marker "LENGTH"'
    )
    return (told,)
