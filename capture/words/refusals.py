"""A refusal as one line for the user."""

from annotate.errors import AnnotateError
from capture.errors import CaptureError, SlipSuspected
from store.errors import StoreError

TOLD = (AnnotateError, CaptureError, StoreError, OSError)


def sentence_of(error: Exception) -> str:
    """Return a refusal as one line for the user."""
    if isinstance(error, SlipSuspected):
        return (
            f"{error.key}: {error.text.strip()!r} was not filed: {'; '.join(error.suspected)} "
            'Look again, then type what it is, or file it as it is with --stands "WORDS"'
        )
    if isinstance(error, OSError) and error.strerror:
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror.lower()}; check the disk and the folder, and try again"
    return " ".join(str(error).split())
