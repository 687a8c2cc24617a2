"""Claims: runs of words with the numbers that belong to them, found on paper in the order of reading; between two of
them no digit may stand.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from tests.sheets.pdf.walk.paper import Item, Page, Paper


class AstrayError(AssertionError):
    """A number on the sheet that the plan does not bear out, or one of the plan that the sheet does not tell."""


@dataclass(frozen=True)
class Claim:
    """Words with numbers that must be read next; `more` is what must be true of the drawings before them, by page."""

    said: str
    pattern: re.Pattern[str]
    where: str = ""
    more: Callable[[list[tuple[Page, list[Item]]]], None] | None = None


def loose(text: str) -> str:
    """A pattern of a text that may be broken over lines at its spaces, and within words too long for a line."""
    either = _EITHER.split(text)
    if len(either) > 1:
        before, one, other, after = either
        return rf"{loose(before)}\s*(?:{loose(one)}|{loose(other)})\s*{loose(after)}"
    words = (r"\s?".join(map(re.escape, word)) if len(word) > 12 else re.escape(word) for word in text.split())
    return r"\s+".join(words)


_EITHER = re.compile(r"\{(\d[^{}|]*)\|(\d[^{}|]*)\}")


def shortened(full: str) -> str:
    """A pattern of a text or of its beginning with an ellipsis."""
    begun = ""
    for letter in reversed(full[:60]):
        begun = (r"\s?" if letter == " " else re.escape(letter)) + (f"(?:{begun})?" if begun else "")
    return f"(?:{loose(full)}|{begun}\\s?…)"


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def claim(*parts: str | tuple[str, ...]) -> Claim:
    """Parts one after the other; a tuple is a choice of patterns."""
    said = " ".join(each if isinstance(each, str) else each[0] for each in parts)
    pattern = r"\s*".join(loose(each) if isinstance(each, str) else f"(?:{'|'.join(each)})" for each in parts)
    return Claim(said, _compiled(pattern))


TELLING = r"[\d¹²³]|\b(?:ASSUMED|NOT MEASURED|TWO PEOPLE or|SHORT|nominal size)\b"
"""What may not be passed over: digits, and words that stand for a figure of the plan."""
LEFT_OVER = {
    False: re.compile(TELLING),
    True: re.compile(
        TELLING
        + r"|\b(?:SET|same|REST|TWO|FENCE OUT|PUT ASIDE|Fetch|Clear|Push|Leave|Line|Scrape|DRY RUN|CHANGE|Pass)\b"
        r"|\b(?:Quarter|Half) turn\b|\bTurn (?:the piece )?over\b|\bFENCE\b|…"
    ),
}
"""By whether it is a cut that is read."""


class Cursor:
    """Reads a paper from its first word to its last."""

    def __init__(self, paper: Paper, heads: list[Claim], foot: Claim) -> None:
        self.items: list[tuple[int, int, Item]] = []
        text, at = [], 0
        for number, (page, head) in enumerate(zip(paper, heads, strict=True)):
            first, last = "".join(each.text for each in page.items[:2]), page.items[-1].text
            for wanted, found in ((head, first), (foot, last)):
                if not wanted.pattern.fullmatch(found.strip()):
                    raise AstrayError(f"page {number + 1}: {found!r} is not {wanted.said!r}")
            for item in page.items[2:-1]:
                self.items.append((at, number, item))
                text.append(item.text)
                at += len(item.text)
            text.append("\n")
            at += 1
        self.paper, self.text, self.at = paper, "".join(text), 0

    def take(self, wanted: Claim) -> None:
        """Go to the end of a claim; nothing that tells a figure may be passed over, unless it is a drawing."""
        found = wanted.pattern.search(self.text, self.at)
        if found is None:
            raise AstrayError(
                f"{wanted.where}: {wanted.said!r} is not after {self.text[max(0, self.at - 60) : self.at]!r}"
            )
        passed = self.text[self.at : found.start()]
        if wanted.more is not None:
            inside = [(page, item) for at, page, item in self.items if self.at <= at < found.start()]
            numbers = sorted({page for page, _ in inside})
            wanted.more([(self.paper[number], [item for page, item in inside if page == number]) for number in numbers])
            passed = ""
        if LEFT_OVER[wanted.where.startswith("cut ")].search(passed):
            raise AstrayError(f"{wanted.where}: {passed!r} is left over before {wanted.said!r}")
        self.at = found.end()

    def end(self) -> None:
        """Nothing with a digit may be left."""
        if LEFT_OVER[False].search(self.text[self.at :]):
            raise AstrayError(f"{self.text[self.at :]!r} is left over at the end")
