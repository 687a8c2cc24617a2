"""Ways to damage a plan file: each is what a slip of the hand, a half-written program or a bad disk makes of one."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable, Iterator
from typing import Any

ODD: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 0.001, -0.0, 1e-300, 1e9, -1e9, 1e308, 10**30, 10**300, float("nan"), float("inf"), "",
    " ", "P1", "P1-1",
    "x" * 5000, "\x00", "a\nb", "\u202e", [], [[]], {}, {"a": 1}, [None], [0, 0], [[0, 0], [0, 0]], [[1e9, 1e9]] * 4,
    ["P1-1", "P1-1"],
)  # fmt: skip
"""Values that stand where another should."""

Place = tuple[Any, Any]
"""A table or list and the key in it."""


def places(tree: Any) -> Iterator[Place]:
    """Every place of a tree."""
    for key in list(tree) if isinstance(tree, dict) else range(len(tree)):
        yield tree, key
        if isinstance(tree[key], (dict, list)):
            yield from places(tree[key])


def _swapped(draw: random.Random, data: Any, spots: list[Place]) -> None:
    here, key = draw.choice(spots)
    here[key] = copy.deepcopy(draw.choice(ODD))


def _dropped(draw: random.Random, data: Any, spots: list[Place]) -> None:
    here, key = draw.choice(spots)
    del here[key]


def _doubled(draw: random.Random, data: Any, spots: list[Place]) -> None:
    here, key = draw.choice([spot for spot in spots if isinstance(spot[0], list)])
    here.insert(draw.randrange(len(here) + 1), copy.deepcopy(here[key]))


def _scaled(draw: random.Random, data: Any, spots: list[Place]) -> None:
    here, key = draw.choice([(h, k) for h, k in spots if isinstance(h[k], (int, float)) and not isinstance(h[k], bool)])
    here[key] = (here[key] or 1) * draw.choice([-1, 0.5, 1.001, 10, 1e6, 1e12, 1e290])


def _exchanged(draw: random.Random, data: Any, spots: list[Place]) -> None:
    (one, a), (other, b) = draw.choice(spots), draw.choice(spots)
    if isinstance(one[a], (dict, list)) or isinstance(other[b], (dict, list)):
        return  # a tree must not get into itself
    one[a], other[b] = other[b], one[a]


def _renamed(draw: random.Random, data: Any, spots: list[Place]) -> None:
    """One name in the place of another: circles, pieces made twice, cuts in what is not there."""
    names = [each["id"] for each in data["pieces"]]
    named = [(h, k) for h, k in spots if h[k] in names] if names else []
    if named:
        here, key = draw.choice(named)
        here[key] = draw.choice([*names, None, "P9-9"])


def _shuffled(draw: random.Random, data: Any, spots: list[Place]) -> None:
    draw.shuffle(draw.choice([here[key] for here, key in spots if isinstance(here[key], list)]))


def _emptied(draw: random.Random, data: Any, spots: list[Place]) -> None:
    draw.choice([here[key] for here, key in spots if isinstance(here[key], (dict, list))]).clear()


def _grown(draw: random.Random, data: Any, spots: list[Place]) -> None:
    """A list that holds its first entry thousands of times."""
    full = [here[key] for here, key in spots if isinstance(here[key], list) and here[key]]
    chosen = draw.choice(full)
    chosen.extend(chosen[:1] * draw.choice([3, 2_000]))


WAYS: tuple[Callable[[random.Random, Any, list[Place]], None], ...] = (
    _swapped, _swapped, _swapped, _dropped, _dropped, _scaled, _doubled, _exchanged, _renamed, _renamed, _shuffled,
    _emptied, _grown,
)  # fmt: skip


def damaged(good: str, seed: int) -> str:
    """The text of a good plan file with one to three things wrong; the same for the same seed."""
    draw = random.Random(seed)
    data = json.loads(good)
    for _ in range(draw.choice([1, 1, 2, 3])):
        if not isinstance(data.get("pieces"), list) or not all(
            isinstance(p, dict) and "id" in p for p in data["pieces"]
        ):
            break
        sections = [each for each in data if isinstance(data[each], (dict, list)) and data[each]]
        spots = list(places({"plan": data})) if draw.random() < 0.1 else list(places(data[draw.choice(sections)]))
        try:
            draw.choice(WAYS)(draw, data, spots)
        except (IndexError, TypeError):  # nothing of that kind there, or a list among names
            continue
        if not isinstance(data, dict):
            break
    text = json.dumps(data)
    if draw.random() < 0.05:  # cut off, or a byte turned over
        at = draw.randrange(len(text))
        text = text[:at] if draw.random() < 0.5 else text[:at] + draw.choice('{}[]",:x0') + text[at + 1 :]
    return text
