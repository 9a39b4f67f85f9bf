"""A web page taken apart: elements, attributes and text, and whether it is nested as it must be."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

# HTML Living Standard: 13.1.2 void elements; 4.4.1 a paragraph ends where one of these begins.
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr"}
ENDS_A_PARAGRAPH = {
    "address", "article", "aside", "blockquote", "details", "div", "dl", "fieldset", "figcaption",
    "figure", "footer", "form", "h1", "h2", "h3", "h4", "h5", "h6", "header", "hr", "main", "nav",
    "ol", "p", "pre", "section", "table", "ul",
}  # fmt: skip


@dataclass
class Element:
    """One element: its name, attributes, the elements round it, and all text in it."""

    name: str
    attributes: dict[str, str]
    round: tuple["Element", ...]
    texts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        return "".join(self.texts)


class Page(HTMLParser):
    """The elements of a page in order; ``faults`` is what is not nested as the standard asks."""

    def __init__(self, source: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[Element] = []
        self.faults: list[str] = []
        self.comments: list[str] = []
        self._open: list[Element] = []
        self.feed(source)
        self.close()
        self.faults += [f"{each.name} is not closed" for each in self._open]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) < len(names):
            self.faults.append(f"{tag} has an attribute twice: {names}")
        element = Element(tag, {n: v or "" for n, v in attrs}, tuple(self._open))
        if tag in ENDS_A_PARAGRAPH and any(each.name == "p" for each in self._open):
            self.faults.append(f"{tag} in a p")
        self.elements.append(element)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        # Only what is drawn may close itself (13.1.2, foreign elements).
        if not any(each.name == "svg" for each in self._open):
            self.faults.append(f"{tag} closes itself")
        self.elements.append(Element(tag, {n: v or "" for n, v in attrs}, tuple(self._open)))

    def handle_endtag(self, tag: str) -> None:
        if not self._open or self._open[-1].name != tag:
            self.faults.append(f"{tag} ends where {[each.name for each in self._open]} is open")
            return
        self._open.pop()

    def handle_data(self, data: str) -> None:
        for element in self._open:
            element.texts.append(data)

    def handle_comment(self, data: str) -> None:
        self.comments.append(data)

    def all(self, name: str) -> list[Element]:
        return [each for each in self.elements if each.name == name]

    @property
    def text(self) -> str:
        (body,) = self.all("body")
        return body.text

    @property
    def spaced(self) -> str:
        """The text with a gap between elements, as cells and lines part it for the eye."""
        (body,) = self.all("body")
        return " ".join(body.texts)
