"""Any of our frozen dataclasses to plain dicts and back: the shape of plan.json.

A trailing underscore in a field's name is not part of its name in the file (`return_` is "return").
"""

from __future__ import annotations

import dataclasses
import functools
import types
import typing
from collections.abc import Mapping
from typing import Any, TypeVar, cast

T = TypeVar("T")


def to_record(value: Any) -> Any:
    """Plain dicts, lists, numbers and strings of a value.

    >>> from stripplan.model.plan.cut import Dress
    >>> to_record(Dress(edge=((0.0, 0.0), (10.0, 0.0))))
    {'edge': [[0.0, 0.0], [10.0, 0.0]]}
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {each.name.rstrip("_"): to_record(getattr(value, each.name)) for each in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_record(each) for key, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [to_record(each) for each in value]
    return value


def from_record(kind: type[T], data: Any, where: str = "") -> T:
    """The value of dataclass `kind` that plain `data` describes.

    Raises ValueError that names the place where the data do not fit the shape; keys that the shape
    does not know are passed over, so that newer files can be read.
    """
    return cast(T, _build(kind, data, where or kind.__name__))


def _build(hint: Any, data: Any, where: str) -> Any:
    origin = typing.get_origin(hint)
    if hint is Any:
        return data
    if origin in (typing.Union, types.UnionType):
        return _build_union(hint, data, where)
    if origin is typing.Literal:
        if data not in typing.get_args(hint):
            raise ValueError(f"{where}: {data!r} is none of {', '.join(map(repr, typing.get_args(hint)))}")
        return data
    if origin is tuple:
        return _build_tuple(hint, data, where)
    if origin is not None:  # Mapping[str, Any]
        if not isinstance(data, Mapping):
            raise ValueError(f"{where}: a table is wanted, not {data!r}")
        return dict(data)
    if dataclasses.is_dataclass(hint):
        return _build_dataclass(cast(type, hint), data, where)
    return _build_scalar(hint, data, where)


def _build_union(hint: Any, data: Any, where: str) -> Any:
    kinds = typing.get_args(hint)
    if data is None:
        if type(None) in kinds:
            return None
        raise ValueError(f"{where}: a value is wanted")
    return _build(next(kind for kind in kinds if kind is not type(None)), data, where)


def _build_tuple(hint: Any, data: Any, where: str) -> Any:
    if not isinstance(data, (list, tuple)):
        raise ValueError(f"{where}: a list is wanted, not {data!r}")
    kinds = typing.get_args(hint)
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_build(kinds[0], each, f"{where}[{n}]") for n, each in enumerate(data))
    if len(data) != len(kinds):
        raise ValueError(f"{where}: {len(kinds)} values are wanted, not {len(data)}")
    return tuple(_build(kind, each, f"{where}[{n}]") for n, (kind, each) in enumerate(zip(kinds, data, strict=True)))


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _build_dataclass(kind: type, data: Any, where: str) -> Any:
    if not isinstance(data, Mapping):
        raise ValueError(f"{where}: a table is wanted, not {data!r}")
    hints = _hints(kind)
    values: dict[str, Any] = {}
    for each in dataclasses.fields(kind):
        name = each.name.rstrip("_")
        if name in data:
            values[each.name] = _build(hints[each.name], data[name], f"{where}.{name}")
        elif each.default is dataclasses.MISSING and each.default_factory is dataclasses.MISSING:
            raise ValueError(f"{where}: {name} is missing")
    return kind(**values)


def _build_scalar(kind: Any, data: Any, where: str) -> Any:
    if kind is float and isinstance(data, (int, float)) and not isinstance(data, bool):
        return float(data)
    if kind in (int, bool, str) and type(data) is kind:
        return data
    if kind is int and isinstance(data, float) and data.is_integer():
        return int(data)
    raise ValueError(f"{where}: {data!r} is no {getattr(kind, '__name__', kind)}")
