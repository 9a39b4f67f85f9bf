"""What the fold "Zero, doubt, when" holds is read, and stands beside what is read next."""

from PySide6.QtCore import QObject

from capture.desk.desk import Desk
from capture.desk.location.beside import read_doubt, read_earlier, read_temperature
from capture.desk.location.in_hand import InHand
from capture.desk.location.reading import Reading
from capture.desk.location.zeros import sizes_read
from capture.errors import BadReading
from capture.words.quantities import given_text
from store.evidence import Read, Zero
from store.round import Check


class More(QObject):
    """Opens the fold, and takes what is in it."""

    def __init__(self, desk: Desk, reading: Reading, hand: InHand) -> None:
        super().__init__()
        self.desk, self.reading, self.hand = desk, reading, hand
        self.page = reading.column.more
        self.photo = ""
        reading.column.more_used.connect(self.use)

    def open(self) -> None:
        """Show what holds now, or close the fold."""
        check, column = self.reading.check, self.reading.column
        if check is None or column.page == "more":
            column.left.emit()
            return
        column.turn_to("more")
        hand, zero = self.hand, self.hand.zero_of(check.key)
        doubt = hand.doubts[0] if hand.doubts else None
        tool = self.reading.tool
        known = self.desk.round
        difference = tool is not None and tool.difference
        sizes = sizes_read(known, check, tool) if known and difference else ()
        self.page.offer(sizes, self.take_size)
        self.page.open(
            {
                "zero": (zero.words or given_text(zero.size)) if zero else _zero_before(check),
                "read_at": hand.read_at,
                "doubt_width": given_text(doubt.half_width) if doubt else "",
                "doubt_what": doubt.what if doubt else "",
                "part_c": "" if hand.part_c is None else f"{hand.part_c:g} C",
                "gauge_c": "" if hand.gauge_c is None else f"{hand.gauge_c:g} C",
            },
            zero=difference,
            photo=bool(self.photo),
            with_photo=bool(hand.photos),
        )

    def take_size(self, key: str) -> None:
        """Take what was read at a check as what the gauge was zeroed to, with the other fields."""
        self.page.fields["zero"].set_text(key)
        self.use()

    def use(self) -> None:
        """Take the fields; what can't be taken is said below its own."""
        check, known = self.reading.check, self.desk.round
        if check is None or known is None:
            return
        texts = self.page.texts()
        if not self._take(check, texts, decimal_comma=known.job.decimal_comma):
            return
        self.hand.photos = (self.photo,) if self.page.with_photo.isChecked() and self.photo else ()
        tool = self.reading.tool
        if tool is not None and tool.difference and texts["zero"]:
            self.desk.act(
                lambda journey: journey.zero_on(texts["zero"]),
                then=lambda zero: self._zeroed(check.key, zero),
                refused=lambda why: self.page.fields["zero"].set_error(why.sentence),
            )
        else:
            self.reading.column.left.emit()

    def _take(self, check: Check, texts: dict[str, str], *, decimal_comma: bool) -> bool:
        for name, take in (
            ("read_at", lambda: read_earlier(texts["read_at"], self.desk.edge.clock())),
            ("part_c", lambda: read_temperature(texts["part_c"], "part")),
            ("gauge_c", lambda: read_temperature(texts["gauge_c"], "gauge")),
            ("doubt_width", lambda: read_doubt(
                texts["doubt_width"], texts["doubt_what"], unit=check.characteristic.unit,
                decimal_comma=decimal_comma,
            )),
        ):  # fmt: skip
            try:
                take()
            except BadReading as refused:
                self.page.fields[name].set_error(f"{refused}")
                return False
        part = read_temperature(texts["part_c"], "part")
        gauge = read_temperature(texts["gauge_c"], "gauge")
        # One temperature is enough where part and gauge lay together.
        self.hand.part_c = gauge if part is None else part
        self.hand.gauge_c = part if gauge is None else gauge
        doubt = read_doubt(
            texts["doubt_width"], texts["doubt_what"], unit=check.characteristic.unit,
            decimal_comma=decimal_comma,
        )  # fmt: skip
        self.hand.doubts = (doubt,) if doubt else ()
        self.hand.read_at = texts["read_at"]
        return True

    def _zeroed(self, key: str, zero: Zero) -> None:
        self.hand.take_zero(key, zero)
        self.reading.column.left.emit()


def _zero_before(check: Check) -> str:
    """Return what the gauge was last zeroed to for this check, to be looked at again."""
    read = [a.record for a in (*check.attempts, *check.readings) if isinstance(a.record, Read)]
    zeros = [each.zero for each in read if each.zero is not None]
    return (zeros[-1].words or given_text(zeros[-1].size)) if zeros else ""
