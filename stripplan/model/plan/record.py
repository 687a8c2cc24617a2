"""Any of our frozen dataclasses to plain dicts and back: the one codec of plan files and of all that is kept beside
them.

A trailing underscore in a field's name is not part of its name in the file (`return_` is "return"). How a class is read
is worked out once, from its type hints; a fault gathers its place only on the way out, so that sound data pay nothing
for it.
"""

from __future__ import annotations

import dataclasses
import functools
import types
import typing
from collections.abc import Callable, Hashable, Mapping
from typing import Any, NoReturn, TypeVar, cast

T = TypeVar("T")
Reader = Callable[[Any], Any]


class _MisfitError(ValueError):
    """What does not fit, and the steps that lead to it, the innermost first."""

    def __init__(self, said: str) -> None:
        super().__init__(said)
        self.steps: list[str] = []

    def at(self, root: str) -> str:
        return f"{root}{''.join(reversed(self.steps))}: {self}"


def to_record(value: Any) -> Any:
    """Plain dicts, lists, numbers and strings of a value.

    >>> from stripplan.model.plan.cut import Dress
    >>> to_record(Dress(edge=((0.0, 0.0), (10.0, 0.0))))
    {'edge': [[0.0, 0.0], [10.0, 0.0]]}
    """
    kind = type(value)
    if kind in _PLAIN:
        return value
    if dataclasses.is_dataclass(kind):
        return {key: to_record(getattr(value, name)) for name, key in _keys(kind)}
    if isinstance(value, Mapping):
        return {str(key): to_record(each) for key, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [to_record(each) for each in value]
    return value


_PLAIN = frozenset({float, int, bool, str, type(None)})


def from_record(kind: type[T], data: Any, where: str = "") -> T:
    """The value of dataclass `kind` that plain `data` describes.

    Raises ValueError that names the place where the data do not fit the shape; what is not there has the default of
    its field, and keys that the shape does not know are passed over, so that older and newer files can be read.
    """
    try:
        return cast(T, _reader(cast(Hashable, kind))(data))
    except _MisfitError as misfit:
        raise ValueError(misfit.at(where or kind.__name__)) from None


@functools.cache
def _keys(kind: type) -> tuple[tuple[str, str], ...]:
    """Names of the fields of a dataclass, and what they are called in a file."""
    return tuple((each.name, each.name.rstrip("_")) for each in dataclasses.fields(kind))


def _under(step: str, reader: Reader, data: Any) -> Any:
    try:
        return reader(data)
    except _MisfitError as misfit:
        misfit.steps.append(step)
        raise


@functools.cache
def _reader(hint: Hashable) -> Reader:
    """What makes a value of a type out of plain data."""
    origin = typing.get_origin(hint)
    if hint is Any:
        return lambda data: data
    if origin in (typing.Union, types.UnionType):
        return _union(typing.get_args(hint))
    if origin is typing.Literal:
        return functools.partial(_literal, typing.get_args(hint))
    if origin is tuple:
        return _tuple(typing.get_args(hint))
    if origin is not None:  # Mapping[str, ...]
        return functools.partial(_mapping, _reader(typing.get_args(hint)[1]))
    if dataclasses.is_dataclass(hint):
        return _dataclass(cast(type, hint))
    if hint in (float, int):
        return _float if hint is float else _int
    return functools.partial(_exactly, cast(type, hint))


def _union(kinds: tuple[Any, ...]) -> Reader:
    optional = type(None) in kinds
    readers = [(_required(kind), _reader(kind)) for kind in kinds if kind is not type(None)]
    readers.sort(key=lambda each: -len(each[0]))

    def read(data: Any) -> Any:
        if data is None:
            return None if optional else _misfit("a value is wanted")
        if len(readers) == 1 or not isinstance(data, Mapping):
            return readers[-1][1](data)
        return next((reader for keys, reader in readers if keys <= data.keys()), readers[-1][1])(data)

    return read


def _required(kind: Any) -> frozenset[str]:
    """Keys by which a dataclass is told from others that the same place may hold: those it cannot do without."""
    if not dataclasses.is_dataclass(kind):
        return frozenset()
    return frozenset(each.name.rstrip("_") for each in dataclasses.fields(kind) if _must_be_given(each))


def _must_be_given(each: dataclasses.Field[Any]) -> bool:
    return each.default is dataclasses.MISSING and each.default_factory is dataclasses.MISSING


def _tuple(kinds: tuple[Any, ...]) -> Reader:
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        each_by = _reader(kinds[0])

        def read_all(data: Any) -> Any:
            try:
                return tuple([each_by(each) for each in _list(data)])
            except _MisfitError:  # once more, to find where
                return tuple(_under(f"[{n}]", each_by, each) for n, each in enumerate(_list(data)))

        return read_all
    readers = [_reader(kind) for kind in kinds]

    def read(data: Any) -> Any:
        if len(_list(data)) != len(readers):
            _misfit(f"{len(readers)} values are wanted, not {len(data)}")
        return tuple(_under(f"[{n}]", by, each) for n, (by, each) in enumerate(zip(readers, data, strict=True)))

    return read


def _list(data: Any) -> Any:
    return data if isinstance(data, (list, tuple)) else _misfit(f"a list is wanted, not {data!r}")


def _dataclass(kind: type) -> Reader:
    hints = typing.get_type_hints(kind)
    rows = [
        (each.name, each.name.rstrip("_"), _reader(hints[each.name]), _must_be_given(each))
        for each in dataclasses.fields(kind)
        if each.init  # the class works the others out
    ]

    def read(data: Any) -> Any:
        if not isinstance(data, Mapping):
            _misfit(f"a table is wanted, not {data!r}")
        values: dict[str, Any] = {}
        for name, key, reader, must in rows:
            if key in data:
                try:
                    values[name] = reader(data[key])
                except _MisfitError as misfit:
                    misfit.steps.append(f".{key}")
                    raise
            elif must:
                _misfit(f"{key} is missing")
        try:
            return kind(**values)
        except ValueError as error:  # what the class itself asks of its values
            raise _MisfitError(str(error)) from None

    return read


def _mapping(reader: Reader, data: Any) -> dict[str, Any]:
    if not isinstance(data, Mapping):
        _misfit(f"a table is wanted, not {data!r}")
    return {key: _under(f".{key}", reader, each) for key, each in data.items()}


def _literal(choices: tuple[Any, ...], data: Any) -> Any:
    return data if data in choices else _misfit(f"{data!r} is none of {', '.join(map(repr, choices))}")


def _float(data: Any) -> float:
    if type(data) is float:
        return data
    if isinstance(data, (int, float)) and not isinstance(data, bool):
        return float(data)
    return _misfit(f"{data!r} is no float")


def _int(data: Any) -> int:
    if type(data) is int:
        return data
    if isinstance(data, float) and data.is_integer():
        return int(data)
    return _misfit(f"{data!r} is no int")


def _exactly(kind: type, data: Any) -> Any:
    return data if type(data) is kind else _misfit(f"{data!r} is no {getattr(kind, '__name__', kind)}")


def _misfit(said: str) -> NoReturn:
    raise _MisfitError(said)
