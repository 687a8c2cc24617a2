"""The elements of an SVG file, read as a stream of marks: nothing is fetched, and no entity is ever declared."""

from __future__ import annotations

from dataclasses import dataclass, field
from xml.parsers import expat

from stripplan.errors import InputError
from stripplan.files.fault_words import fault, fault_of, message
from stripplan.files.parts.drawings.outlines import LONGEST_LABEL
from stripplan.wording.message import Fact

MOST_ELEMENTS = 150_000
"""Most elements of a file, and most once copies are made."""
DEEPEST = 100
"""Most elements within one another."""
_SPACES = {"", "http://www.w3.org/2000/svg"}
NEXT_LINE = "\u2028"
_OF_TEXT = {"text", "tspan"}


@dataclass
class Element:
    """An element, the text of its title, the words of a text, and what it lies in."""

    tag: str
    marks: dict[str, str]
    line: int
    inside: list[Element] = field(default_factory=list)
    title: str = ""
    words: str = ""
    around: Element | None = field(default=None, repr=False)


class RefusedError(Exception):
    """What stops the reading of a file or of a shape: the key of a sentence and its facts."""

    def __init__(self, says: str, **facts: Fact) -> None:
        super().__init__(says)
        self.message = message(says, **facts)


def read_elements(data: bytes, name: str) -> Element:
    """The elements of a file. Raises InputError."""
    if data.startswith(b"\x1f\x8b"):
        raise InputError(fault("binary.svgz", name))
    builder = _Builder()
    parser = builder.parser
    try:
        parser.Parse(data, True)
    except RefusedError as error:
        raise InputError(fault_of(error.message, f"{name} line {parser.CurrentLineNumber}")) from None
    except Exception as error:  # whatever stops the library, the file is at fault
        line = getattr(error, "lineno", None)
        raise InputError(fault("svg.damaged", f"{name} line {line}" if line else name)) from None
    if builder.root is None or builder.root.tag != "svg":
        raise InputError(fault("svg.other", name))
    return builder.root


class _Builder:
    """Handlers that make elements of marks. Nothing is fetched and no entity is ever declared."""

    def __init__(self) -> None:
        self.root: Element | None = None
        self._open: list[Element] = []
        self._count = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.StartDoctypeDeclHandler = self._doctype
        self.parser.EntityDeclHandler = self._entity

    def _doctype(self, _name: str, _system: str | None, _public: str | None, declares: bool) -> None:
        if declares:
            self._entity()

    def _entity(self, *_: object) -> None:
        raise RefusedError("entities.svg")

    def _start(self, tag: str, marks: dict[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        self._count += 1
        if self._count > MOST_ELEMENTS:
            raise RefusedError("too_large.elements", most=MOST_ELEMENTS)
        if len(self._open) >= DEEPEST:
            raise RefusedError("too_deep.elements", most=DEEPEST)
        element = Element(name if space in _SPACES else f"{{}}{name}", marks, self.parser.CurrentLineNumber)
        if self._open:
            element.around = self._open[-1]
            self._open[-1].inside.append(element)
        else:
            self.root = element
        self._open.append(element)
        if element.tag == "tspan" and marks.keys() & {"x", "y", "dy"}:
            self._text(NEXT_LINE)

    def _end(self, _: str) -> None:
        done = self._open.pop()
        if done.tag == "title" and self._open and not self._open[-1].title:
            self._open[-1].title = done.title

    def _text(self, text: str) -> None:
        element = self._open[-1]
        if element.tag == "title" and len(element.title) <= LONGEST_LABEL:
            element.title += text[: LONGEST_LABEL + 1]
        elif element.tag in _OF_TEXT:
            whole = next((each for each in reversed(self._open) if each.tag == "text"), element)
            if len(whole.words) <= 5 * LONGEST_LABEL:
                whole.words += text[: LONGEST_LABEL + 1]
