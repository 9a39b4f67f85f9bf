import json
import random
import re
from pathlib import Path

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from store.report.lettering import COVERED, settable

NUMBERED = re.compile("\u2039U\\+([0-9A-F]{4,6})\u203a")


def covered_text() -> str:
    return "".join(chr(code) for first, last in COVERED for code in range(first, last + 1))


@pytest.mark.parametrize("style", ["weight: 400", "weight: 700", 'style: "italic"'])
def test_every_character_said_to_be_covered_can_be_set(tmp_path: Path, style: str) -> None:
    # PDF/UA refuses a text that no font can show, so a compile without error is the proof.
    # Shuffled too: a fallback font is chosen by the run of letters it has to show.
    mixed = list(covered_text())
    random.Random(5).shuffle(mixed)  # noqa: S311 - no secret, only disorder
    (tmp_path / "d.json").write_text(json.dumps(covered_text() + " " + "".join(mixed)), "utf-8")
    markup = (
        '#set document(title: "x")\n'
        f'#set text(font: ("Libertinus Serif", "DejaVu Sans Mono"), {style})\n#json("d.json")'
    )
    (tmp_path / "d.typ").write_text(markup, "utf-8")
    pdf = typst.compile(
        str(tmp_path / "d.typ"), root=str(tmp_path), ignore_system_fonts=True, pdf_standards="ua-1"
    )
    assert isinstance(pdf, bytes)
    assert pdf.startswith(b"%PDF")


@given(st.text(max_size=300))
def test_what_comes_out_can_be_set_and_can_be_read_back(text: str) -> None:
    shown = settable(text)
    allowed = set(covered_text()) | {"\u200b"}
    assert set(shown) <= allowed
    back = shown.replace("\u200b", "").replace(" ¶ ", "\n")
    back = NUMBERED.sub(lambda found: chr(int(found[1], 16)), back)
    wanted = text.replace("\r\n", "\n").replace("\t", " ").replace(" ¶ ", "\n")
    assert back == NUMBERED.sub(lambda found: chr(int(found[1], 16)), wanted)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("#let x = 1 $a$ *b* <c> @d \"e\" 'f' _g_ `h`", None),
        ("2.04 mm", None),
        ('1 3/8"', None),
        ("שלום", None),
        ("٤٥", "\u2039U+0664\u203a\u2039U+0665\u203a"),
        ("done 😀", "done \u2039U+1F600\u203a"),
        # A right-to-left override would print 1.54 where the ledger says 45.1.
        ("\u202e45.1", "\u2039U+202E\u203a45.1"),
        ("a\x00b", "a\u2039U+0000\u203ab"),
        ("one\ntwo", "one ¶ two"),
        ("e\u0301\u0302\u0303", "e\u0301\u0302\u2039U+0303\u203a"),
    ],
)  # fmt: skip
def test_typed_text_is_kept_or_named(typed: str, shown: str | None) -> None:
    assert settable(typed) == (typed if shown is None else shown)


def test_an_endless_word_can_be_broken_every_few_letters() -> None:
    parts = settable("x" * 2000).split("\u200b")
    assert max(map(len, parts)) <= 8
    assert "".join(parts) == "x" * 2000
