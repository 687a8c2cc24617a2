"""Each fault of files has its sentence, each sentence its fault, and each sentence the facts that it asks for."""

from __future__ import annotations

import ast
import re
import string
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import stripplan.files
from stripplan.wording.message import Facts
from stripplan.wording.sentence import Text
from stripplan.wording.sentences import files, plan_file
from stripplan.wording.sentences.files import any_file, drawing, job, notebook, parts_list, rig, stock, toml, workbook
from tests.checking import in_turn

SENTENCES = files.SENTENCES | plan_file.SENTENCES
ROOM = Path(stripplan.files.__file__).parent
MAKERS = {"fault": "", "message": "", "_RefusedError": "", "ValueRefusedError": "value."}
"""Functions that take the key of a sentence first, and what goes before it."""


def made(path: Path) -> Iterator[tuple[str, set[str] | None]]:
    """Key of each sentence that a module names as it makes a message, and its facts; None where some come by `**`."""
    for each in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(each, ast.Call) or not isinstance(each.func, ast.Name) or each.func.id not in MAKERS:
            continue
        key = each.args[0]
        if isinstance(key, ast.Constant):
            names = [keyword.arg for keyword in each.keywords]
            facts = None if None in names else {name for name in names if name is not None}
            yield MAKERS[each.func.id] + str(key.value), facts


MADE = [each for path in sorted(ROOM.rglob("*.py")) for each in made(path)]


class AnyFacts(Facts):
    """Facts that have whatever is asked for."""

    def __getitem__(self, name: str) -> str:
        return ""

    def __contains__(self, name: object) -> bool:
        return True

    def keys(self) -> set[str]:  # type: ignore[override]
        return {"near", "known"}


def fields(text: Text) -> set[str]:
    """The facts that a text asks for."""
    written = text(AnyFacts()) if callable(text) else text
    return {name for _, name, _, _ in string.Formatter().parse(written) if name}


def test_every_message_has_a_sentence() -> None:
    """A key without a sentence would stop the program where it has something to say."""
    assert len(MADE) > 100
    assert {key for key, _ in MADE} <= set(SENTENCES)


def test_every_sentence_is_said_somewhere() -> None:
    """What no module names any more is left out; some keys are put together of two words."""
    modules = [path for path in ROOM.parent.rglob("*.py") if path.relative_to(ROOM.parent).parts[0] != "wording"]
    quoted = re.compile(r'"([^"\n]*)"')
    known = {word for path in modules for word in quoted.findall(path.read_text(encoding="utf-8"))}
    parts = {"option.", "same_name.", "shape.", "toml."}
    unsaid = {
        key
        for key in SENTENCES
        if key not in known
        and not any(key.startswith(part) for part in parts)
        and key.removeprefix("value.") not in known
    }
    assert unsaid == set()


@in_turn(("key", "facts"), sorted((key, tuple(sorted(facts))) for key, facts in MADE if facts is not None))
def test_a_sentence_asks_for_no_fact_that_is_not_there(key: str, facts: tuple[str, ...]) -> None:
    """Plain sentences ask only for the facts that are given where they are said."""
    sentence = SENTENCES[key]
    for text in (sentence.text, sentence.hint):
        if not callable(text):
            assert fields(text) <= set(facts)


def test_no_two_modules_have_a_sentence_of_one_key() -> None:
    """A key that two modules use would say what the other means."""
    modules = [any_file, drawing, job, notebook, parts_list, rig, stock, toml, workbook]
    count = Counter(key for module in modules for key in module.SENTENCES)
    assert [key for key, number in count.items() if number > 1] == []
    assert len(count) == len(files.SENTENCES)
