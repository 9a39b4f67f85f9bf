"""Never fitted on this block: the photo of the bare place that says so."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from capture.desk.bench import Work
from capture.desk.job.form import Form
from capture.desk.job.typed_things import existing_file
from capture.desk.look.dialogs import ask_file
from capture.desk.look.field import LineField, PickField
from capture.desk.look.file_field import FileField
from capture.errors import Unfit
from capture.intake.photo import read_photo
from capture.journey import Journey
from store.change import NeverFitted
from store.round import Round

if TYPE_CHECKING:
    from capture.desk.job.page import Page

_PHOTOS = "Photos (*.jpg *.jpeg *.png *.heic *.heif *.webp *.tif *.tiff);;All files (*)"


def never_form(page: "Page", location: Callable[[], str]) -> Form:
    """Return the form; ``location`` says which one it is about when it is sent."""
    fields = {
        "photo": PickField("Photo of the bare place, filed here"),
        "file": FileField("Or a photo that is not filed yet", page, _PHOTOS, ask_file),
        "reason": LineField("How do you know?", "solid boss, no bore under the paint"),
    }

    def asks(texts: dict[str, str]) -> Work:
        if not (texts["photo"] or texts["file"]):
            raise Unfit({"photo": "it needs a photo of the bare place"})
        path = existing_file(texts["file"], "file") if texts["file"] else None
        at, reason = location(), texts["reason"] or "never fitted on this block"
        return lambda journey: never_fitted(journey, at, texts["photo"], path, reason)

    return Form(page.desk, "", fields, "It was never fitted", asks)


def offer_photos(form: Form, known: Round | None, location: str) -> None:
    """Offer the photos that are filed at a location."""
    field = form.fields["photo"]
    assert isinstance(field, PickField)  # noqa: S101 - it was made so
    photos = known.place(location).photos if known else ()
    field.offer([("", "none of those filed")] + [
        (photo.taken.photo, f"{photo.taken.role}: {photo.taken.file_name}")
        for photo in photos if photo.struck is None
    ])  # fmt: skip


def never_fitted(
    journey: Journey, location: str, photo: str, path: Path | None, reason: str
) -> str:
    """File the photo if it is a new one, and say that this block never had it; say so in words."""
    if path is not None:
        filed = journey.add_photo(read_photo(path), location=location, role="bare bore")
        photo = str(getattr(filed.evidence, "photo", ""))
    entry = journey.change_plan(NeverFitted(location, photo), reason)
    return f"{location} was never fitted on this block, entry {entry.seq}"
