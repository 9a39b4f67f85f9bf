"""The text of a formula -> a tree, its names, and whether it comes to its unit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from store.errors import BadPlan
from store.formulas.dimensions import check_unit, dimension_of
from store.formulas.formula import (
    Call,
    Name,
    Negative,
    Node,
    Number,
    Operation,
    Ref,
    names,
    parse,
    walk,
)


def shown(node: Node) -> str:
    """Return a tree with every bracket written out."""
    match node:
        case Number():
            return f"{node.value:g}" if node.unit == "1" else f"{node.value:g} {node.unit}"
        case Name():
            return node.ref.text
        case Negative():
            return f"(-{shown(node.of)})"
        case Operation():
            return f"({shown(node.left)} {node.sign} {shown(node.right)})"
        case Call():
            return f"{node.function}({', '.join(map(shown, node.arguments))})"


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("M1.bore - J1.dia", "(M1.bore - J1.dia)"),
        ("A.x - B.x - C.x", "((A.x - B.x) - C.x)"),
        ("A.x / B.x / C.x", "((A.x / B.x) / C.x)"),
        ("A.x + B.x * C.x", "(A.x + (B.x * C.x))"),
        ("(A.x + B.x) * C.x", "((A.x + B.x) * C.x)"),
        ("-A.x * B.x", "((-A.x) * B.x)"),
        ("A.x - -B.x", "(A.x - (-B.x))"),
        ("--A.x", "(-(-A.x))"),
        ("  A.x  ", "A.x"),
        ("E1.play - (0.244 in - E1.t1 - E1.t2)", "(E1.play - ((0.244 in - E1.t1) - E1.t2))"),
        ("25.4 mm", "25.4 mm"),
        ("25.4mm", "25.4 mm"),
        (".5", "0.5"),
        ("5.", "5"),
        ("1e-3 m", "0.001 m"),
        ("2E+2", "200"),
        ("3-2", "(3 - 2)"),
        ("5 mm-2 mm", "(5 mm - 2 mm)"),
        ("2 N.m + 3 lbf.ft", "(2 N.m + 3 lbf.ft)"),
        ("4 kPa/min", "4 kPa/min"),
        ("4 kPa / 2 min", "(4 kPa / 2 min)"),
        ("2 mm^2 / 4 mm", "(2 mm^2 / 4 mm)"),
        ("50 % * A.x", "(50 % * A.x)"),
        ("12A.bore - 2m.x", "(12A.bore - 2m.x)"),
        ("1.bore", "1.bore"),
        ("front-left.gap - top_1.gap", "(front-left.gap - top_1.gap)"),
        ("OH1.hole.covered", "OH1.hole.covered"),
        ("OH1.hole.pin - P1.rod", "(OH1.hole.pin - P1.rod)"),
        ("M1.bore[top]", "M1.bore[top]"),
        ("M1.bore[ top,across ] - J1.dia[A]", "(M1.bore[top, across] - J1.dia[A])"),
        ("max(A.x, B.x) - min(A.x,B.x)", "(max(A.x, B.x) - min(A.x, B.x))"),
        ("mean(M1.bore)", "mean(M1.bore)"),
        ("range (A.x, B.x, C.x)", "range(A.x, B.x, C.x)"),
        ("abs(A.x - B.x)", "abs((A.x - B.x))"),
        ("sqrt(A.x * B.x)", "sqrt((A.x * B.x))"),
        ("out_of_round(M1.bore)", "out_of_round(M1.bore)"),
        ("taper(M1.bore[X])", "taper(M1.bore[X])"),
        ("min.x - 1 mm", "(min.x - 1 mm)"),
        ("1.5 - 1.25", "(1.5 - 1.25)"),
    ],
)
def test_what_is_read_in_a_formula(text: str, tree: str) -> None:
    assert shown(parse(text)) == tree


@pytest.mark.parametrize(
    ("text", "column", "why"),
    [
        ("", 1, "a number, a name LOCATION.CHECK or a bracket is wanted"),
        ("A.x -", 6, "a number, a name LOCATION.CHECK or a bracket is wanted"),
        ("A.x B.x", 5, r"\+, -, \* or / is wanted here"),
        ("A.x)", 4, r"\+, -, \* or / is wanted here"),
        ("(A.x", 5, "the bracket is not closed"),
        ("max(A.x", 8, "the bracket is not closed"),
        ("max()", 5, "is wanted here"),
        ("max", 1, "a number, a name"),
        ("plug", 1, "a number, a name LOCATION.CHECK"),
        ("A.x.bore", 1, "'bore' is no part of a check; there are covered, pin, offset, area"),
        ("A.x[", 5, "the name of a position or an axis is wanted"),
        ("A.x[top", 8, "the square bracket is not closed"),
        ("A.x[top,]", 9, "the name of a position or an axis is wanted"),
        ("sin(A.x)", 1, "'sin' is no function; there are min, max, mean, range, abs, sqrt"),
        ("__import__(A.x)", 1, "'__import__' is no function"),
        ("1 + abs(A.x, B.x)", 5, "abs is of one thing, not 2"),
        ("sqrt(A.x, B.x)", 1, "sqrt is of one thing, not 2"),
        ("taper(A.x, B.x, C.x)", 1, "taper is of one thing, not 3"),
        ("out_of_round(A.x, B.x)", 1, "out_of_round is of one thing, not 2"),
        ("out_of_round(2)", 1, "out_of_round is of one check with several readings"),
        ("1 + taper(A.x - B.x)", 5, "taper is of one check with several readings: give its name"),
        ("A.x ** 2", 6, "a number, a name"),
        ("A.x ^ 2", 5, r"\+, -, \* or / is wanted here"),
        ("A.x + 2 foo", 9, "is wanted here"),
        ("1e999 mm", 1, "1e999 is too large"),
        ("1e999", 1, "1e999 is too large"),
        ("A.x + 'b'", 7, "a number, a name"),
        ("A.x; B.x", 4, "is wanted here"),
    ],
)
def test_what_is_refused_names_its_column(text: str, column: int, why: str) -> None:
    with pytest.raises(BadPlan, match=f"column {column}: .*{why}"):
        parse(text)


def test_formulas_have_an_end() -> None:
    assert parse("(" * 19 + "1" + ")" * 19) == Number(1.0, "1", 20)
    with pytest.raises(BadPlan, match="too many brackets within each other"):
        parse("(" * 20 + "1" + ")" * 20)
    with pytest.raises(BadPlan, match="too many brackets within each other"):
        parse("(1) + " * 10 + "(" * 20 + "1" + ")" * 20)
    assert parse("max((A.x), (B.x)) + ((C.x))")  # brackets side by side are not within each other
    assert parse(" + ".join(["(1)"] * 30))
    with pytest.raises(BadPlan, match="501 characters: 500 at most"):
        parse("1" * 501)
    assert parse("1" + " " * 499) == Number(1.0, "1", 1)
    assert parse("-" * 99 + "1")
    with pytest.raises(BadPlan, match="more than 100 numbers, names and signs"):
        parse("-" * 100 + "1")


@given(st.text(alphabet="AB.x12 +-*/()[],eminaxr_^%", max_size=60))
def test_any_text_is_a_tree_or_a_refusal(text: str) -> None:
    try:
        tree = parse(text)
    except BadPlan as refused:
        said = str(refused)
    else:
        # What is written out again is the same formula.
        assert shown(parse(shown(tree))) == shown(tree)
        return
    assert "column " in said


def test_names_come_once_each_in_their_order() -> None:
    tree = parse("max(B.x, A.x[top]) - -(B.x / sqrt(A.x)) + C.y.pin * 2")
    assert names(tree) == (
        Ref("B.x"),
        Ref("A.x", at=("top",)),
        Ref("A.x"),
        Ref("C.y", "pin"),
    )
    assert names(parse("1 + 2")) == ()
    assert sum(isinstance(node, Number) for node in walk(tree)) == 1
    assert [type(node) for node in walk(parse("-A.x + 1"))] == [Name, Negative, Number, Operation]


def test_columns_are_kept_for_what_is_said_later() -> None:
    tree = parse("A.x + max(B.x)")
    assert isinstance(tree, Operation)
    assert (tree.left.column, tree.column, tree.right.column) == (1, 5, 7)
    negative = parse("2 * -A.x")
    assert isinstance(negative, Operation)
    assert negative.right == Negative(Name(Ref("A.x"), 6), 5)


# --- units

UNITS = {
    "A.x": "mm",
    "B.x": "in",
    "P.kpa": "kPa",
    "T.min": "min",
    "S.area": "mm^2",
    "F.nm": "N.m",
    "N.n": "count",
    "R.r": "%",
    "D.rate": "psi/min",
}


def unit_of(ref: Ref) -> str:
    if ref.part == "pin":
        return "mm"
    if ref.key not in UNITS:
        raise BadPlan(f"no check {ref.key!r} in this job")
    return UNITS[ref.key]


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("A.x - B.x", "in"),
        ("A.x - 0.5 mm", "mm"),
        ("A.x * B.x", "mm^2"),
        ("S.area / A.x", "um"),
        ("S.area + A.x * A.x", "in^2"),
        ("P.kpa / T.min", "psi/min"),
        ("D.rate * T.min", "bar"),
        ("A.x / B.x", "1"),
        ("A.x / B.x", "%"),
        ("2 * A.x / 3", "mm"),
        ("R.r * A.x", "mm"),
        ("1 - R.r", "%"),
        ("sqrt(S.area)", "mm"),
        ("sqrt(A.x / B.x)", "1"),
        ("abs(-A.x)", "mm"),
        ("max(A.x, B.x, Q.hole.pin)", "mm"),
        ("mean(N.n, N.n)", "count"),
        ("F.nm / A.x * B.x", "lbf.ft"),
        ("out_of_round(A.x)", "mm"),
    ],
)
def test_units_that_fit(text: str, unit: str) -> None:
    check_unit(parse(text), unit_of, unit)


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("A.x - B.x", "N.m", "the formula comes to length, and the check's unit is N.m"),
        ("A.x * B.x", "mm", "comes to length \\* length, and"),
        ("A.x / B.x", "mm", "comes to a bare number, and"),
        ("1 / A.x", "mm", "comes to 1 / length, and"),
        ("P.kpa / T.min / T.min", "kPa", "comes to pressure / time / time, and"),
        ("A.x - 0.5", "mm", "column 5: - of length and a bare number; give the number its unit"),
        ("0.5 + A.x", "mm", "column 5: \\+ of a bare number and length; give the number its unit"),
        ("A.x + F.nm", "mm", "column 5: \\+ of length and torque$"),
        ("max(A.x, F.nm)", "mm", "column 1: max of length and torque"),
        ("sqrt(A.x)", "mm", "column 1: length has no square root that is a unit"),
        ("sqrt(P.kpa / T.min)", "kPa", "column 1: pressure / time has no square root"),
        ("A.x - Z.x", "mm", "column 7: no check 'Z.x' in this job$"),
    ],
)
def test_units_that_do_not_fit(text: str, unit: str, why: str) -> None:
    with pytest.raises(BadPlan, match=why):
        check_unit(parse(text), unit_of, unit)


def test_a_minus_that_stands_too_close_is_told() -> None:
    with pytest.raises(
        BadPlan,
        match=r"column 1: no check 'A.x-B' in this job; for A.x minus something, "
        "put a blank on both sides of the minus",
    ):
        check_unit(parse("A.x-B"), unit_of, "mm")
    with pytest.raises(BadPlan, match=r"no check 'A.y-2' in this job$"):
        check_unit(parse("A.y-2"), unit_of, "mm")


def test_units_are_what_their_kind_says() -> None:
    assert dimension_of("mm^2") == {"length": 2}
    assert dimension_of("kPa/min") == {"pressure": 1, "time": -1}
    assert dimension_of("%") == {}
    assert dimension_of("turn") == {"angle": 1}
