"""What a cover of the round says below its name: in one line, or in two where the round is narrow.

The worst stands first, so that it is never what is cut off.
"""

from PySide6.QtGui import QFontMetricsF

from capture.desk.look.type import font
from capture.desk.walk.row import HoldRow


def lines_on(row: HoldRow, room: float) -> list[str]:
    """Return one line or two; ``room`` is their width in pixels."""
    metrics = QFontMetricsF(font("caption", bold=bool(row.warns)))
    clauses = [*([row.warns] if row.warns else []), *row.detail.split(", ")]
    lines = [clauses[0]]
    for clause in clauses[1:]:
        longer = f"{lines[-1]}, {clause}"
        if len(lines) > 1 or metrics.horizontalAdvance(longer) <= room:
            lines[-1] = longer
        else:
            lines.append(clause)
    return lines
