"""What is said in few words: a warning's short sentence, or as much of a text as fits a line."""

from __future__ import annotations

from stripplan.wording.message import Message
from stripplan.wording.show import MM, Units, worded

ABOUT = 30
"""Letters of a name in a short sentence."""


def short_words(message: Message, units: Units = MM, *, most: int) -> str | None:
    """The short sentence of a message, of so many letters at the most; None where its code has none.

    >>> from stripplan.wording.message import Facts, length
    >>> kerf = Message("kerf_not_measured", "steel-6", Facts(kerf=length(1.5)))
    >>> short_words(kerf, most=80)
    'The kerf of steel-6, 1.5 mm, was not measured: make a test cut first.'
    """
    from stripplan.wording.sentences import all_sentences

    key = f"short.{message.code}"
    if key not in all_sentences():
        return None
    name = message.about if len(message.about) <= ABOUT else f"{message.about[: ABOUT - 1]}…"
    return cut_short(worded(Message(key, name, message.facts), units).text, most)


def cut_short(text: str, most: int) -> str:
    """As many whole sentences as fit, else as many whole words.

    >>> cut_short("One. Two. Three.", 10), cut_short("one two three", 9), cut_short("one", 9)
    ('One. Two.', 'one two …', 'one')
    """
    if len(text) <= most:
        return text
    end = text.rfind(". ", 0, most)
    if end > 0:
        return text[: end + 1]
    end = text.rfind(" ", 0, most - 1)
    return f"{text[:end]} …" if end > 0 else f"{text[: most - 1]}…"
