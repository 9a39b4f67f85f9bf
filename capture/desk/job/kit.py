"""Kit and parts: what the packing says, what was counted, and which piece went on."""

from capture.desk.bench import Work
from capture.desk.job.changing import changing
from capture.desk.job.form import Form
from capture.desk.job.page import Page
from capture.desk.job.said_things import KIT, PART, entry_of, kit_rows
from capture.desk.job.typed_things import counted, kit_line_set, part_added
from capture.desk.look.controls import Verb
from capture.desk.look.field import Field, LineField, PickField
from capture.desk.look.row import Row
from capture.desk.unfit import refuse_empty
from capture.fitting import Piece, fit_piece
from capture.words.quantities import given_text
from store.round import Round


class KitPage(Page):
    """Kit lines first, then the parts that go on or in."""

    name = "Kit and parts"

    def build(self) -> None:
        """Count a line, say which piece went on, add either."""
        count = {
            "count": LineField("How many are there?"),
            "size": LineField("A size measured on a piece", "with its unit; may be left empty"),
            "note": LineField("Anything else to be kept"),
        }
        self.add_form("count", Form(self.desk, "", count, "Keep the count", self._count))
        piece = {
            "piece": LineField("What tells this piece from another", "stamped 3, bag 2"),
            "note": LineField("Anything else to be kept"),
        }
        self.add_form("fit", Form(self.desk, "", piece, "It is on", self._fit,
                                  words="Another piece than before voids what was proven on the "
                                  "last one."))  # fmt: skip
        lacks = "A line that the kit list lacks"
        self.add_form("add", Form(self.desk, lacks, _line_fields(new=True), "Add it",
                                  lambda texts: self._line(texts, "")))  # fmt: skip
        self.add_form("line", Form(self.desk, "", _line_fields(new=False), "Put it right",
                                   lambda texts: self._line(texts, self._name)))  # fmt: skip
        part = {
            "id": LineField("Id, as shell-1"),
            "name": LineField("What it is"),
            "location": PickField("Where it goes"),
            "kit": PickField("Kit line it is from"),
            "reason": LineField("Why it is added"),
        }
        self.add_form("part", Form(self.desk, "A part that goes on or in", part, "Add it",
                                   _part_added))  # fmt: skip
        self.counting = Verb("Count", "C", does=lambda: self._open("count", "counted"))
        self.fitting = Verb("Piece went on", "P", does=lambda: self._open("fit", "went on"))
        self.line = Verb("Put line right", "R", does=self._open_line)
        self.strike = self.strike_form(entry_of)
        self.add_verbs(self.counting, self.fitting, self.line, self.strike)
        self.add_verbs(
            Verb("Add kit line", "A", does=lambda: self.open_form("add")),
            Verb("Add part", "T", does=self._open_part),
        )

    def rows_of(self, known: Round) -> list[Row]:
        """Return kit lines and parts."""
        self.head.setText("; ".join(known.counts_open))
        self.head.setVisible(bool(known.counts_open))
        return kit_rows(known)

    def nothing(self) -> str:
        """Say what belongs here."""
        return "The plan has no kit list and no parts. Add what the packing says (A)."

    def arm(self, known: Round, key: str) -> None:
        """Let a line be counted, a part be fitted."""
        self.counting.setEnabled(key.startswith(KIT))
        self.line.setEnabled(key.startswith(KIT))
        self.fitting.setEnabled(key.startswith(PART))
        self.strike.setEnabled(bool(entry_of(known, key)))

    @property
    def _name(self) -> str:
        return self.rows.key.partition(" ")[2]

    def _open(self, form: str, words: str) -> None:
        self.open_form(form, f"{self._name} {words}")

    def _open_line(self) -> None:
        line = next((x.line for x in self.known.kit if x.line.id == self._name), None) if (
            self.known) else None  # fmt: skip
        if line is not None:
            size = given_text(line.size) if line.size else ""
            texts = {"name": line.name, "count": str(line.count), "size": size}
            self.open_form("line", f"{line.id}, as the packing says", texts)

    def _open_part(self) -> None:
        assert self.known is not None  # noqa: S101 - a page is shown with a book only
        fields, plan = self.form("part").fields, self.known.plan
        for name, there in (("location", plan.locations), ("kit", plan.kit)):
            field = fields[name]
            assert isinstance(field, PickField)  # noqa: S101 - it was made so
            field.offer([("", "none"), *((x.id, f"{x.id}  {x.name}") for x in there)])
        self.open_form("part")

    def _count(self, texts: dict[str, str]) -> Work:
        assert self.known is not None  # noqa: S101 - a page is shown with a book only
        line = self._name
        count, size = counted(texts, self.known.job)
        return lambda journey: (
            f"{line}: {count} counted, "
            f"entry {journey.count_kit(line, count, size=size, words=texts['note']).seq}"
        )

    def _fit(self, texts: dict[str, str]) -> Work:
        part = self._name
        refuse_empty(texts, piece='what tells this piece from another: "stamped 3, bag 2"')
        return lambda journey: fitted_text(
            fit_piece(journey, part, texts["piece"], note=texts["note"])
        )

    def _line(self, texts: dict[str, str], line: str) -> Work:
        assert self.known is not None  # noqa: S101 - a page is shown with a book only
        return changing([kit_line_set(texts, self.known.plan, line)], texts["reason"])


def _part_added(texts: dict[str, str]) -> Work:
    return changing([part_added(texts)], texts["reason"])


def fitted_text(piece: Piece) -> str:
    """Return what went on, what it replaced, and what must be read again."""
    instead = f", instead of {piece.replaced}" if piece.replaced else ""
    again = f"; to be read again on this piece: {', '.join(piece.voided)}" if piece.voided else ""
    return f"{piece.name} is on: {piece.piece}{instead}, entry {piece.number}{again}"


def _line_fields(*, new: bool) -> dict[str, Field]:
    first: dict[str, Field] = {"id": LineField("Id, as core-plugs")} if new else {}
    return {
        **first,
        "name": LineField("What it is, as the packing says"),
        "count": LineField("How many, by the packing"),
        "size": LineField("Size, as the packing says", "with its unit; may be left empty"),
        "reason": LineField("Why it is entered now"),
    }
