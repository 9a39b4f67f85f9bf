"""Papers: a machine shop's sheet, a manual's page, kept with the job as they are."""

from capture.desk.bench import Work
from capture.desk.job.form import Form
from capture.desk.job.page import Page
from capture.desk.job.said_things import entry_of, paper_rows
from capture.desk.job.typed_things import existing_file
from capture.desk.look.controls import Verb
from capture.desk.look.dialogs import ask_file
from capture.desk.look.field import LineField, PickField
from capture.desk.look.file_field import FileField
from capture.desk.look.row import Row
from capture.desk.unfit import refuse_empty
from store.round import Round


class PapersPage(Page):
    """The newest first."""

    name = "Papers"

    def build(self) -> None:
        """Add a paper, strike one."""
        fields = {
            "file": FileField("The file, kept as it is", self, "", ask_file),
            "what": LineField("What it is", "machine shop's sheet of the line bore"),
            "location": PickField("Location it belongs to"),
            "keys": LineField("Checks it speaks of", "C1.bore, C2.bore"),
        }
        self.add_form("add", Form(self.desk, "A paper that belongs to the job", fields, "Keep it",
                                  self._keep))  # fmt: skip
        self.strike = self.strike_form(entry_of)
        self.add_verbs(Verb("Add a paper", "A", does=self._open), self.strike)

    def rows_of(self, known: Round) -> list[Row]:
        """Return the papers."""
        return paper_rows(known)

    def nothing(self) -> str:
        """Say what belongs here."""
        return "No paper is kept yet: a machine shop's sheet, a page of the manual. Add one (A)."

    def arm(self, known: Round, key: str) -> None:
        """Let what stands be struck."""
        self.strike.setEnabled(bool(entry_of(known, key)))

    def _open(self) -> None:
        field = self.form("add").fields["location"]
        assert isinstance(field, PickField)  # noqa: S101 - it was made so
        places = self.known.plan.locations if self.known else ()
        field.offer([("", "the whole job"), *((at.id, f"{at.id}  {at.name}") for at in places)])
        self.open_form("add")

    def _keep(self, texts: dict[str, str]) -> Work:
        path = existing_file(texts["file"], "file")
        refuse_empty(texts, what="what is it? the machine shop's sheet, page 41")
        keys = tuple(key.strip() for key in texts["keys"].split(",") if key.strip())
        return lambda journey: (
            f"kept {path.name}, entry "
            + str(journey.add_paper(path, what=texts["what"], location=texts["location"],
                                    keys=keys).seq)
        )  # fmt: skip
