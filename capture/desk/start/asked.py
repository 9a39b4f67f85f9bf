"""What is typed of a new job, and where each thing that is wrong with it is said."""

from pathlib import Path

from PySide6.QtCore import Qt, QTimer

from capture.desk.look.scrolled import reveal
from capture.desk.start.folder import refuse_taken
from capture.desk.start.foot import Foot
from capture.desk.start.job_fields import JobFields
from capture.desk.start.offered import job_of
from capture.desk.start.plan_choice import PlanChoice
from capture.errors import Unfit
from store.plan import Job


def typed_job(choice: PlanChoice, fields: JobFields, root: Path, base: Job | None) -> Job:
    """Return the job that is typed, on what a plan file says of it.

    ``root`` is where its book would go. Raises Unfit with everything that is wrong.
    """
    wrong: dict[str, str] = {}
    job: Job | None = None
    for ask in (choice.refuse_lacking, lambda: refuse_taken(root)):
        try:
            ask()
        except Unfit as unfit:
            wrong |= unfit.fields
    try:
        job = job_of(fields.texts(), base)
    except Unfit as unfit:
        wrong |= unfit.fields
    if wrong or job is None:
        raise Unfit(wrong)
    return job


def show_unfit(unfit: Unfit, choice: PlanChoice, fields: JobFields, foot: Foot) -> None:
    """Say each thing at its field, and go to the first of them."""
    choice.show_fault(unfit.fields.get("plan", ""))
    choice.comeback.set_error(unfit.fields.get("comeback", ""))
    foot.show_fault(unfit.fields.get("folder", ""))
    for name, field in fields.fields.items():
        field.set_error(unfit.fields.get(name, ""))
    first = next((field for name, field in fields.fields.items() if name in unfit.fields), None)
    if first is not None:
        first.setFocus(Qt.FocusReason.OtherFocusReason)
        QTimer.singleShot(0, first, lambda: reveal(first))  # once its sentence has its room
