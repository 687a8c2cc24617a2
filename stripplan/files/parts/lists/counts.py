"""How many are meant where a name says it: "Rail 6x", "6 off Rail", "qty 6".

What can be read in two ways is never guessed: "6xRail", a "Rail 6" where nothing else tells how many. A size ("40 x 6")
and a thread ("M6x20") are no counts, and a count of holes ("4x M8") is a note. How people write these is common
practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from stripplan.files.fault_words import message, shortened
from stripplan.wording.message import Message

_N = r"([0-9]{1,7})"
_OFF = r"(?:off|pcs?|pieces?|nos?|stk|stück|ea)\.?"
_WORD = r"(?:qty|quantity|no\.?\s*off|stk|pcs)\.?\s*[:=]?"
_TIMES = "[x×]"
_SAYS = rf"(?:{_WORD}\s*{_N}|{_N}\s*{_OFF}|{_N}\s?{_TIMES}|{_TIMES}\s?{_N})"
_ALONE = re.compile(rf"[(\[]?\s*(?:{_SAYS}|{_N}\s*(?:no|st)\.?)\s*[)\]]?", re.IGNORECASE)
_TRAILING = re.compile(rf"(.*?[^\s,;:/(\[-])(?:\s*[(\[]\s*|\s*[,;:/]\s*|\s+-?\s*){_SAYS}\s*[)\]]?", re.IGNORECASE)
_LEADING = re.compile(rf"[(\[]?{_SAYS}(?:[)\]]\s*|[\s,;:/-]+)(.+)", re.IGNORECASE)
_SIZE = re.compile(r"[0-9.,/ \"'-]+(?:mm|in|\"|')?(?:\s*[x×*]\s*[0-9.,/ \"'-]+(?:mm|in|\"|')?)+", re.IGNORECASE)
_THREAD = re.compile(r"\bM[0-9]{1,2}(?:[.,][0-9]+)?\s?[x×]\s?[0-9]+(?:[.,][0-9]+)?", re.IGNORECASE)
_HOLES = re.compile(
    r"(?:(?:drill|tap|ream|thread|clear)\b|[⌀øØ]|dia\b|(?:M|R|UNC|UNF)\s?[0-9]|[0-9.,/\"]+\s*(?:mm\s*)?(?:dia|holes?)\b"
    r"|(?:bolt\s+|screw\s+)?holes?\b|slots?\b|countersink|csk|cbore)",
    re.IGNORECASE,
)
_SIZES = re.compile(r"[0-9.,/]+\s*[x×]\s*[0-9][0-9.,/]*(?:\s*[x×]\s*[0-9][0-9.,/]*)*")
_INSIDE = re.compile(rf"(?<![\w.]){_SAYS}(?![\w.])", re.IGNORECASE)
_LENGTH = re.compile(r"[0-9.,/ ]+(?:mm|cm|in|inch|\"|″)", re.IGNORECASE)
_FIGURE = re.compile(r"[0-9.,/]+(?:mm|in|\"|')?")
_STUCK = re.compile(rf"{_N}{_TIMES}[^\W\d_]{{2,}}.*|.*[^\W\d_]{_TIMES}{_N}", re.IGNORECASE)
_BARE = re.compile(r"(.*[^\W\d_].*?)\s+([1-9][0-9]?)|([1-9][0-9]?)\s+([^\W\d_]{2,}.*)")
_NUMBERED = re.compile(
    r"(?:.*\s)?(?:part|item|no\.?|nr\.?|pos\.?|position|mark|detail|type|rev\.?|revision|size|section|step|level|row|"
    r"phase|grade|class|teil|ref\.?|#)",
    re.IGNORECASE,
)
_SHIELD = "\ue000"


@dataclass(frozen=True)
class Counted:
    """What a text says: how many, of what, or a note on holes. `doubt` is why it cannot be told, `stem` and `number`
    are the two halves of a name such as "Rail 6" that may be a count where nothing else says one."""

    count: int | None = None
    name: str | None = None
    note: str = ""
    doubt: Message | None = None
    stem: str = ""
    number: int = 0


def counted(text: str) -> Counted:
    """How many a text says, and of what.

    >>> [(each.count, each.name) for each in map(counted, ("6x", "Rail 6x", "6x Rail", "Rail, qty 6", "6 off Rail"))]
    [(6, None), (6, 'Rail'), (6, 'Rail'), (6, 'Rail'), (6, 'Rail')]
    >>> [(each.count, each.name) for each in map(counted, ("Bolt M6x20", "300 x 80", "Flat 40 x 6", "Rail 6"))]
    [(None, 'Bolt M6x20'), (None, None), (None, 'Flat 40 x 6'), (None, 'Rail 6')]
    >>> counted("4x M8").note, counted("6xRail").doubt is None, counted("Rail 6").number
    ('4x M8', False, 6)
    """
    clean = " ".join(text.split())
    if not clean or _SIZE.fullmatch(clean) or _LENGTH.fullmatch(clean):
        return Counted()
    threads = _THREAD.findall(clean)
    found = _counted(_THREAD.sub(_SHIELD, clean), clean)
    if found.name is None:
        return found
    name = found.name
    for thread in threads:
        name = name.replace(_SHIELD, thread, 1)
    return Counted(found.count, name, found.note, found.doubt, found.stem, found.number)


def _counted(text: str, whole: str) -> Counted:
    if alone := _ALONE.fullmatch(text):
        return Counted(_first(alone.groups()))
    if text[0] in "⌀øØ":
        return Counted(note=whole)
    leading, trailing = _LEADING.fullmatch(text), _TRAILING.fullmatch(text)
    if leading and _HOLES.match(leading[5].replace(_SHIELD, "M8")):
        return Counted(note=whole)
    if trailing and _HOLES.fullmatch(trailing[1]):
        return Counted(note=whole)
    if leading and trailing and not _is_size(text, trailing):
        return Counted(name=text, doubt=message("doubt.counts", text=shortened(whole)))
    if trailing and not leading:
        return _trailing(text, whole, trailing)
    if leading:
        rest = leading[5]
        if rest[0].isdigit() and leading[3]:  # 4 x 40 flat: a size, or four of a flat of 40
            return Counted(name=text, doubt=message("doubt.counts", text=shortened(whole)))
        return Counted(_first(leading.groups()[:4]), rest)
    if _INSIDE.search(_SIZES.sub(" ", text)):
        return _by_pieces(text, whole)
    if _STUCK.fullmatch(text):
        return Counted(name=text, doubt=message("doubt.stuck", text=shortened(whole)))
    return _bare(text)


def _by_pieces(text: str, whole: str) -> Counted:
    """A count among other words: clear where commas set it apart, as in "Rail 6x, painted"."""
    pieces = [each.strip() for each in re.split("[,;]", text)]
    said = [_counted(each, each) for each in pieces if each] if len(pieces) > 1 else []
    counts = [each.count for each in said if each.count is not None]
    if len(counts) != 1 or any(each.doubt or each.note for each in said):
        return Counted(name=text, doubt=message("doubt.counts", text=shortened(whole)))
    return Counted(counts[0], ", ".join(each.name for each in said if each.name) or None)


def _trailing(text: str, whole: str, found: re.Match[str]) -> Counted:
    """A count behind a name; what follows a number there is the last figure of a size."""
    name, by_x = found[1], found[5]
    last = name.split()[-1]
    if _is_size(text, found):
        return Counted(name=text)
    if by_x and (_FIGURE.fullmatch(last) or re.fullmatch(r"[0-9.,/]+\s*[x×][0-9.,/x×]+", last)):
        return Counted(name=text, doubt=message("doubt.counts", text=shortened(whole)))
    return Counted(_first(found.groups()[1:]), name)


def _is_size(text: str, found: re.Match[str]) -> bool:
    """Whether what ends a text is the last figure of a size, as in "Flat 40 x 6"; "Mark 3 x2" may be a count."""
    last = found[1].split()[-1]
    return bool(found[5]) and _FIGURE.fullmatch(last) is not None and not re.search(r"\s[x×][0-9]+\W*$", text)


def _bare(text: str) -> Counted:
    """A name that ends or begins with a number may be numbered, or counted."""
    found = _BARE.fullmatch(text)
    if found is None:
        return Counted(name=text)
    stem, number = (found[1], found[2]) if found[1] else (found[4], found[3])
    if _NUMBERED.fullmatch(stem.strip()) or re.search(r"[0-9]\s*$|[x×]$", stem):
        return Counted(name=text)
    return Counted(name=text, stem=stem.strip(" ,;:-"), number=int(number))


def _first(groups: tuple[str | None, ...]) -> int:
    return int(next(each for each in groups if each))


def quantity_of(
    said: Sequence[Counted], stated: Sequence[int], others: Collection[tuple[str, int]]
) -> int | Message | None:
    """How many are meant by names that say something and quantities that are `stated` beside them; None where nothing
    says how many, a message where it cannot be told.

    `others` are stems and numbers of all names of the list: a stem with several numbers is numbered, not counted.
    """
    counts = sorted({*stated, *(each.count for each in said if each.count is not None)})
    if len(counts) > 1:
        return message("why.two_quantities", one=counts[0], other=counts[1])
    if counts:
        return counts[0]
    return next((why for each in said if (why := _in_doubt(each, others)) is not None), None)


def _in_doubt(said: Counted, others: Collection[tuple[str, int]]) -> Message | None:
    if said.doubt is not None:
        return said.doubt
    if said.number < 2 or len({number for stem, number in others if stem == said.stem.lower()}) > 1:
        return None
    whole = said.name or ""
    return message("doubt.number", text=shortened(whole), name=said.stem, count=said.number, whole=whole)


def numbered(said: Iterable[Counted]) -> set[tuple[str, int]]:
    """Stems, in small letters, and numbers of names such as "Rail 6"."""
    return {(each.stem.lower(), each.number) for each in said if each.number}
