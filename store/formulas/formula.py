"""The arithmetic of a computed check: text of the plan -> a tree, its names, its unit.

    sum      := product (("+" | "-") product)*
    product  := signed (("*" | "/") signed)*
    signed   := "-" signed | number unit? | name | function "(" sum ("," sum)* ")" | "(" sum ")"
    name     := LOCATION.CHECK | LOCATION.CHECK.PART, then "[" word ("," word)* "]" if one likes
    function := min max mean range abs sqrt out_of_round taper

PART is of a coverage: covered, pin, offset, area or equivalent (the diameter of a round hole of the
same open area). The words in brackets are positions and axes
of a check that has them. Ids may hold "-", so a minus after a name needs a blank before it. What
can be read as a number is one: "1.5" is never check 5 of location 1.

Nothing is executed: a text becomes frozen records, and what they come to is for
store.formulas.evaluate. Every refusal is a BadPlan that names the column, counted from 1.
"""

import re
from collections.abc import Iterator
from math import inf
from typing import NoReturn

from msgspec import Struct

from annotate.quantity import UNITS
from store.errors import BadPlan

FUNCTIONS = ("min", "max", "mean", "range", "abs", "sqrt", "out_of_round", "taper")
OF_ONE = ("abs", "sqrt", "out_of_round", "taper")
OF_A_GRID = ("out_of_round", "taper")
PARTS = ("covered", "pin", "offset", "area", "equivalent")
LONGEST, _DEEPEST, _MOST_NODES = 500, 20, 100

_ID = r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}"
_NUMBER = re.compile(r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_NAME = re.compile(rf"({_ID}\.{_ID})(?:\.({_ID}))?")
_WORD = re.compile(_ID)
_FUNCTION = re.compile(r"([A-Za-z_]+)\s*\(")
_UNITS = sorted((unit for unit in UNITS if unit != "1"), key=len, reverse=True)
_JOINED = re.compile(r"[A-Za-z0-9_.^]")


class Ref(Struct, frozen=True):
    """A name in a formula: a check, a part of its coverage, a part of its grid."""

    key: str
    part: str = ""
    at: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The name as it is written."""
        name = f"{self.key}.{self.part}" if self.part else self.key
        return f"{name}[{', '.join(self.at)}]" if self.at else name


class Number(Struct, frozen=True):
    """A number as written, with its unit ("1" without one)."""

    value: float
    unit: str
    column: int


class Name(Struct, frozen=True):
    """A name where it stands."""

    ref: Ref
    column: int


class Negative(Struct, frozen=True):
    """What a minus stands before."""

    of: "Node"
    column: int


class Operation(Struct, frozen=True):
    """Two sides and + - * or / between them."""

    sign: str
    left: "Node"
    right: "Node"
    column: int


class Call(Struct, frozen=True):
    """A function of one or more."""

    function: str
    arguments: tuple["Node", ...]
    column: int


Node = Number | Name | Negative | Operation | Call


def parse(text: str) -> Node:
    """Return the tree of a formula; raises BadPlan with the column and what to do."""
    if len(text) > LONGEST:
        raise BadPlan(f"a formula of {len(text)} characters: {LONGEST} at most")
    return _Parser(text).whole()


def names(formula: Node) -> tuple[Ref, ...]:
    """Return every name in a formula once, in the order they stand."""
    return tuple(dict.fromkeys(node.ref for node in walk(formula) if isinstance(node, Name)))


def walk(formula: Node) -> Iterator[Node]:
    """Yield every node of a formula, from left to right."""
    match formula:
        case Negative():
            yield from walk(formula.of)
        case Operation():
            yield from walk(formula.left)
            yield from walk(formula.right)
        case Call():
            for argument in formula.arguments:
                yield from walk(argument)
        case _:
            pass
    yield formula


class _Parser:
    """Reads one text from left to right."""

    def __init__(self, text: str) -> None:
        self.text, self.at, self.depth, self.nodes = text, 0, 0, 0

    def whole(self) -> Node:
        formula = self._sum()
        if self.at < len(self.text):
            self._refuse("+, -, * or / is wanted here")
        return formula

    def _sum(self) -> Node:
        self.depth += 1
        if self.depth > _DEEPEST:
            self._refuse("too many brackets within each other")
        left = self._product()
        while sign := self._one_of("+-"):
            column = self.at
            left = self._made(Operation(sign, left, self._product(), column))
        self.depth -= 1
        return left

    def _product(self) -> Node:
        left = self._signed()
        while sign := self._one_of("*/"):
            column = self.at
            left = self._made(Operation(sign, left, self._signed(), column))
        return left

    def _signed(self) -> Node:
        minuses = []
        while self._one_of("-"):
            minuses.append(self.at)
        node = self._atom()
        for column in reversed(minuses):
            node = self._made(Negative(node, column))
        return node

    def _atom(self) -> Node:
        self._blanks()
        column = self.at + 1
        if self._one_of("("):
            inner = self._sum()
            self._want(")", "the bracket is not closed")
            return inner
        if called := _FUNCTION.match(self.text, self.at):
            return self._call(called, column)
        if number := self._number():
            return self._made(Number(*number, column))
        if named := _NAME.match(self.text, self.at):
            return self._made(Name(self._ref(named), column))
        return self._refuse("a number, a name LOCATION.CHECK or a bracket is wanted here")

    def _call(self, called: re.Match[str], column: int) -> Node:
        function = called[1]
        if function not in FUNCTIONS:
            self._refuse(f"{function!r} is no function; there are {', '.join(FUNCTIONS)}")
        self.at = called.end()
        arguments = [self._sum()]
        while self._one_of(","):
            arguments.append(self._sum())
        self._want(")", "the bracket is not closed")
        if function in OF_ONE and len(arguments) > 1:
            self._refuse(f"{function} is of one thing, not {len(arguments)}", column)
        if function in OF_A_GRID and not isinstance(arguments[0], Name):
            self._refuse(f"{function} is of one check with several readings: give its name", column)
        return self._made(Call(function, tuple(arguments), column))

    def _number(self) -> tuple[float, str] | None:
        """Take a number with its unit; None where a name begins with figures."""
        found = _NUMBER.match(self.text, self.at)
        if not found:
            return None
        after = found.end()
        first = after + len(self.text[after:]) - len(self.text[after:].lstrip(" "))
        for unit in _UNITS:
            if self.text.startswith(unit, first) and not self._goes_on(first + len(unit)):
                number = self._finite(found[0])
                self.at = first + len(unit)
                return number, unit
        if self._goes_on(after):
            return None
        number = self._finite(found[0])
        self.at = after
        return number, "1"

    def _finite(self, figures: str) -> float:
        if float(figures) == inf:
            self._refuse(f"{figures} is too large")
        return float(figures)

    def _goes_on(self, at: int) -> bool:
        return at < len(self.text) and bool(_JOINED.match(self.text[at]))

    def _ref(self, named: re.Match[str]) -> Ref:
        key, part = named[1], named[2] or ""
        if part and part not in PARTS:
            self._refuse(f"{part!r} is no part of a check; there are {', '.join(PARTS)}")
        self.at = named.end()
        return Ref(key, part, self._selection())

    def _selection(self) -> tuple[str, ...]:
        if not self._one_of("["):
            return ()
        words = [self._word()]
        while self._one_of(","):
            words.append(self._word())
        self._want("]", "the square bracket is not closed")
        return tuple(words)

    def _word(self) -> str:
        self._blanks()
        found = _WORD.match(self.text, self.at)
        if not found:
            self._refuse("the name of a position or an axis is wanted here")
        self.at = found.end()
        return found[0]

    def _made(self, node: Node) -> Node:
        self.nodes += 1
        if self.nodes > _MOST_NODES:
            self._refuse(f"more than {_MOST_NODES} numbers, names and signs: split the formula")
        return node

    def _blanks(self) -> None:
        while self.at < len(self.text) and self.text[self.at].isspace():
            self.at += 1

    def _one_of(self, signs: str) -> str:
        """Take the next sign if it is one of these, else return an empty string."""
        self._blanks()
        if self.at < len(self.text) and self.text[self.at] in signs:
            self.at += 1
            return self.text[self.at - 1]
        return ""

    def _want(self, sign: str, otherwise: str) -> None:
        if not self._one_of(sign):
            self._refuse(otherwise)

    def _refuse(self, why: str, column: int | None = None) -> NoReturn:
        raise BadPlan(f"formula {self.text!r}, column {column or self.at + 1}: {why}")
