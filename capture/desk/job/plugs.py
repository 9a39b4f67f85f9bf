"""Plugs and galleries: out = in, and each gallery logged clean before it is closed."""

from capture.desk.bench import Work
from capture.desk.job.form import Form
from capture.desk.job.kit import fitted_text
from capture.desk.job.never import never_form, offer_photos
from capture.desk.job.page import Page
from capture.desk.job.said_things import GALLERY, PLUG, entry_of, plug_rows, plugs_counted
from capture.desk.look.controls import Verb
from capture.desk.look.field import ChoiceField, LineField, PickField
from capture.desk.look.row import Row
from capture.desk.unfit import refuse_empty
from capture.fitting import fit_piece, part_at
from capture.journey import Journey
from store.round import Round

_CAUTION = (
    "Caution: eye protection when air goes through galleries, pressure low, never on solvent-wet "
    "parts; the maker's manual and your local rules come first."
)


class PlugsPage(Page):
    """The plug map by groups, then the galleries."""

    name = "Plugs and galleries"

    def build(self) -> None:
        """Out, in, never fitted, debris log."""
        out = {
            "size": LineField("Its size", "3/8 pipe thread"),
            "note": LineField("Its old depth, or what else", "2.3 mm below the face"),
        }
        self.add_form("out", Form(self.desk, "", out, "It came out", self._out))
        into = {
            "piece": LineField("What tells this plug from another", "new, bag 4"),
            "part": PickField("Which part it is"),
            "note": LineField("Anything else to be kept"),
        }
        self.add_form("in", Form(self.desk, "", into, "It is in", self._in))
        self.add_form("never", never_form(self, lambda: self._at))
        log = {
            "how": LineField("How it was cleaned and looked at", "brushed, blown, light"),
            "found": LineField("What came out"),
            "clean": ChoiceField("Is it clean now?", (("no", "not yet"), ("yes", "clean"))),
        }
        self.add_form("log", Form(self.desk, "", log, "Log it", self._log, words=_CAUTION))
        self.out = Verb("Plug out", "O", does=lambda: self._open("out", "plug out"))
        self.into = Verb("Plug in", "I", does=self._open_in)
        self.never = Verb("Never fitted", "N", does=self._open_never)
        self.log = Verb("Debris log", "D", does=lambda: self._open("log", "debris log"))
        self.strike = self.strike_form(entry_of)
        self.add_verbs(self.out, self.into, self.never, self.log, self.strike)

    def rows_of(self, known: Round) -> list[Row]:
        """Return plugs and galleries; the sum above."""
        words = [plugs_counted(known.plugs)] if known.plugs else []
        self.head.setText("\n".join([*words, *known.counts_open]))
        self.head.setVisible(bool(self.head.text()))
        return plug_rows(known)

    def nothing(self) -> str:
        """Say what belongs here."""
        return "The plan has no plugs and no galleries: add such a location on the plan's page."

    def arm(self, known: Round, key: str) -> None:
        """Let a plug go out and in, a gallery be logged."""
        for verb in (self.out, self.into, self.never):
            verb.setEnabled(key.startswith(PLUG))
        self.log.setEnabled(key.startswith(GALLERY))
        self.strike.setEnabled(bool(entry_of(known, key)))

    @property
    def _at(self) -> str:
        return self.rows.key.partition(" ")[2]

    def _open(self, form: str, words: str) -> None:
        self.open_form(form, f"{self._at}: {words}")

    def _open_never(self) -> None:
        offer_photos(self.form("never"), self.known, self._at)
        self.open_form("never", f"{self._at} was never fitted on this block")

    def _open_in(self) -> None:
        parts = self.known.plan.parts if self.known else ()
        there = [
            (part.id, f"{part.id}  {part.name}") for part in parts if part.location == self._at
        ]
        form = self.form("in")
        field = form.fields["part"]
        assert isinstance(field, PickField)  # noqa: S101 - it was made so
        field.offer(there)
        form.show_only(set(form.fields) if len(there) > 1 else {"piece", "note"})
        self._open("in", "plug in")

    def _out(self, texts: dict[str, str]) -> Work:
        at = self._at
        return lambda journey: (
            f"{at}: plug out, "
            f"entry {journey.take_out(at, size=texts['size'], words=texts['note']).seq}"
        )

    def _in(self, texts: dict[str, str]) -> Work:
        refuse_empty(texts, piece='what tells this plug from another: "new, bag 4"')
        at = self._at
        return lambda journey: put_in(journey, at, texts)

    def _log(self, texts: dict[str, str]) -> Work:
        refuse_empty(texts, how="brushed, blown, looked through with a light?")
        at, clean = self._at, texts["clean"] == "yes"
        return lambda journey: (
            f"{at}: {'clean' if clean else 'NOT clean'}, entry "
            f"{journey.log_debris(at, how=texts['how'], clean=clean, found=texts['found']).seq}"
        )


def put_in(journey: Journey, location: str, texts: dict[str, str]) -> str:
    """Say that a plug went in, as the part that belongs there; say so in words."""
    part, added = (texts["part"], False) if texts.get("part") else part_at(journey, location)
    told = fitted_text(fit_piece(journey, part, texts["piece"], note=texts["note"]))
    return f"{told} (part {part} was added to the plan for it)" if added else told
