"""How far a plan has been cut, and the changes that devices send."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Any

from stripplan.errors import Fault, InputError
from stripplan.model.plan.progress import CutProgress, Side
from stripplan.web.store.sealed_file import DamagedError
from stripplan.wording.message import Facts
from stripplan.wording.quantity import UnitError, parse_sides

REMEMBERED = 1000
"""So many changes of progress are known again when a device sends them twice."""
LONGEST_NOTE = 500
LONGEST_WAIT = 14 * 86400.0
"""A change that waited for longer on its device than this counts as made when it came [s]."""
TOLD = ("done", "undone", "measured", "wrong")
"""Changes that the stock book hears of."""
BOTH: frozenset[Side] = frozenset(("left", "right"))
SPOILT: Mapping[str, frozenset[Side]] = {
    "left": frozenset(("left",)),
    "right": frozenset(("right",)),
    "none": frozenset(),
}
"""The sides that a cut has spoilt by the word that was written down; any other word, or none: both, as nobody knows
better.
"""


@dataclass
class Progress:
    """How far a plan has been cut. `version` grows with each change, so that a device sees that it is behind.

    `done` are the numbers of cuts, `last_at` when the last of them was made [s since 1970], `measured` what was read
    after them, `wrong` what went wrong at them and which side it spoilt ("left: burr"), `usable` what is still good of
    the pieces that they spoilt, as it was typed ("left 980x640; right 200x100"). `ticked` is when each of those
    done was made, `begun` when the first change came [s since 1970], `name` what the person calls this batch.

    `elsewhere` is the same of those that were ticked in the shell.

    Of the batch that stands in the stock book `key` is the name by which the book knows it, `untold` are the changes
    that the book has not heard of yet, each with its number, which is that of its version, and `told` is the number up
    to which it has.
    """

    version: int = 0
    at: int = 1
    done: list[int] = field(default_factory=list)
    last_at: float = 0.0
    measured: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)
    usable: dict[str, str] = field(default_factory=dict)
    seen: list[str] = field(default_factory=list)
    name: str = ""
    begun: float = 0.0
    ticked: dict[str, float] = field(default_factory=dict)
    elsewhere: dict[str, float] = field(default_factory=dict)
    key: str = ""
    told: int = 0
    untold: list[dict[str, Any]] = field(default_factory=list)

    @classmethod
    def of(cls, record: Mapping[str, Any]) -> Progress:
        """Progress as it was stored. Raises DamagedError for what no progress of ours can be."""
        now = cls(**{key: record[key] for key in vars(cls()) if key in record})
        numbers, texts = (
            [now.version, now.at, now.told, *_all(now.done)],
            [now.name, now.key, *_all(now.seen), *_items(now.measured), *_items(now.wrong), *_items(now.usable)],
        )
        times = [now.last_at, now.begun, *_items(now.ticked)[1::2], *_items(now.elsewhere)[1::2]]
        if not all(isinstance(each, int) and not isinstance(each, bool) and each >= 0 for each in numbers):
            raise DamagedError("a figure in it is none")
        if not all(isinstance(each, (int, float)) and math.isfinite(each) for each in times):
            raise DamagedError("a time in it is none")
        if not all(isinstance(each, str) for each in texts) or not all(
            isinstance(each, str) and each.isdecimal()
            for each in (*now.measured, *now.wrong, *now.usable, *now.ticked, *now.elsewhere)
        ):
            raise DamagedError("a text in it is none")
        if not all(map(_is_change, _all(now.untold))):
            raise DamagedError("a change in it is none")
        return now

    def of_cuts(self, units: str = "mm") -> CutProgress:
        """The same without words and marks of the page: which cuts are made, what they have spoilt, and what is still
        good of that, typed in `units`. Raises InputError for sizes that are none."""
        spoilt = {int(number): SPOILT.get(told.partition(":")[0], BOTH) for number, told in self.wrong.items()}
        good = {
            (int(number), side): size
            for number, typed in self.usable.items()
            for side, size in read_usable(typed, units).items()
        }
        return CutProgress(done=frozenset(self.done), spoilt=spoilt, usable=good)

    def change(self, change: Mapping[str, Any], cuts: int, now: float) -> None:
        """Take over a change that a device sends: what, of which cut, and its own name, by which a second one is known.

        Raises InputError for one that cannot be.
        """
        name, what, cut = change.get("name"), change.get("what"), change.get("cut")
        if not isinstance(name, str) or not 8 <= len(name) <= 64:
            raise InputError(Fault("change", "the change", says="change_no_name"))
        if name in self.seen:
            return
        if not isinstance(cut, int) or isinstance(cut, bool) or not 1 <= cut <= cuts:
            raise InputError(Fault("change", "the change", Facts(cut=repr(cut)[:47], last=cuts), says="change_no_cut"))
        if what not in ("at", *TOLD):
            raise InputError(Fault("change", "the change", Facts(what=repr(str(what)[:30])), says="change_unknown"))
        made = {
            "what": what, "cut": cut, "text": str(change.get("text", ""))[:LONGEST_NOTE],
            "usable": str(change.get("usable", ""))[:LONGEST_NOTE], "when": now - _ago(change),
        }  # fmt: skip
        self.apply(made)
        self.version += 1
        if self.key and what in TOLD:
            self.untold = [*self.untold, {"number": self.version, **made}]
        self.begun = self.begun or made["when"]
        self.seen = [*self.seen, name][-REMEMBERED:]

    def apply(self, made: Mapping[str, Any]) -> None:
        """What a change makes of it."""
        what, cut, text = made["what"], made["cut"], made["text"]
        if what == "at":
            self.at = cut
        elif what == "done":
            self._tick(cut, made["when"])
        elif what == "undone":
            self._untick(cut)
        elif what == "measured":
            _put(self.measured, cut, text)
        else:
            _put(self.wrong, cut, text)
            _put(self.usable, cut, made["usable"] if text.strip() else "")
            if text.strip():
                self._untick(cut)

    def _tick(self, cut: int, when: float) -> None:
        """A cut is done; one that went wrong is not, until somebody says that it was right."""
        if str(cut) not in self.wrong:
            self.done, self.last_at = sorted({*self.done, cut}), max(self.last_at, when)
            self.ticked[str(cut)] = when

    def _untick(self, cut: int) -> None:
        self.done = [each for each in self.done if each != cut]
        self.ticked.pop(str(cut), None)


def read_usable(text: str, units: str) -> dict[Side, tuple[float, float]]:
    """What is still good of pieces that were spoilt, by side [mm]: "left 980x640; right 200x100". Raises InputError
    with what would be understood.
    """
    found: dict[Side, tuple[float, float]] = {}
    for each in filter(None, (part.strip() for part in text.split(";"))):
        side, _, size = each.partition(" ")
        try:
            sides = parse_sides(size, units)
        except UnitError as error:
            raise InputError(Fault("usable", "what is still good", Facts(said=str(error)))) from None
        if side not in ("left", "right") or len(sides) != 2 or not all(sides):
            raise InputError(Fault("usable", "what is still good", Facts(given=size), says="usable_size"))
        found["left" if side == "left" else "right"] = sides[0], sides[1]
    return found


def _ago(change: Mapping[str, Any]) -> float:
    """How long before it was sent a change was made [s]: what waited on a device keeps its time."""
    ago = change.get("ago", 0)
    sound = isinstance(ago, (int, float)) and not isinstance(ago, bool) and 0 <= ago <= LONGEST_WAIT
    return float(ago) if sound else 0.0


@contextmanager
def blamed(number: int) -> Iterator[None]:
    """What is wrong inside is wrong with the change of that number: a device leaves out this one and no other."""
    try:
        yield
    except InputError as error:
        faults = tuple(replace(each, place=("changes", number)) for each in error.faults)
        raise InputError(faults, error.units) from None


def _put(texts: dict[str, str], cut: int, text: str) -> None:
    """Keep a text at a cut; an empty one is taken away."""
    texts.pop(str(cut), None)
    if text.strip():
        texts[str(cut)] = text.strip()


def _is_change(given: Any) -> bool:
    """Whether this is a change that waits to be told."""
    if not isinstance(given, dict) or given.get("what") not in TOLD:
        return False
    numbers, texts, when = (
        [given.get("number"), given.get("cut")],
        [given.get("text"), given.get("usable")],
        given.get("when"),
    )
    return (
        all(isinstance(each, int) and not isinstance(each, bool) and each > 0 for each in numbers)
        and all(isinstance(each, str) for each in texts)
        and isinstance(when, (int, float))
        and math.isfinite(when)
    )


def _all(values: Any) -> list[Any]:
    if not isinstance(values, list):
        raise DamagedError("a list in it is none")
    return values


def _items(texts: Any) -> list[Any]:
    if not isinstance(texts, dict):
        raise DamagedError("a table in it is none")
    return [each for pair in texts.items() for each in pair]
