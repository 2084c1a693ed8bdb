"""Dataclasses whose methods are compiled when they are first called.

The standard library compiles up to six methods of every class while its module is loaded: on Python 3.11 that is 0.7 ms
a class, a hundred classes at a start, and most of them are never compared or hashed in a run and many never made.
`fields`, `replace` and all else of `dataclasses` work with these as with its own.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from reprlib import recursive_repr
from types import MemberDescriptorType
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass  # noqa: PLC0414 - told to a type checker
else:

    def dataclass(*, frozen=False, slots=False, kw_only=False, eq=True, repr=True):  # noqa: A002 - its name there
        """As `dataclasses.dataclass`; a field that is not in `__init__` has no default, and none is an `InitVar`."""

        def make(cls):
            own = {name for name, value in vars(cls).items() if value is not None}
            cls.__doc__ = cls.__doc__ or cls.__name__  # otherwise worked out from the signature, which takes long
            made = dataclasses.dataclass(init=False, eq=False, repr=False, slots=slots, kw_only=kw_only)(cls)
            given = {"__init__": _when_called(made, "__init__")} | ({"__repr__": _repr} if repr else {})
            if frozen:
                given |= FROZEN | (SLOTTED if slots else {})
            if eq:
                given["__eq__"] = _when_called(made, "__eq__")
                given["__hash__"] = _when_called(made, "__hash__") if frozen else None
            for name, method in given.items():
                if name not in own:
                    setattr(made, name, method)
            return made

        return make


def _when_called(cls: type, name: str) -> Callable[..., Any]:
    """A stand-in for a method: it compiles the method, puts it in its own place and calls it."""

    def method(self: object, *args: object, **named: object) -> Any:
        words, names = TEXTS[name](cls)
        exec(f"def {name}({words}", names)  # noqa: S102 - made of names of fields alone
        compiled = names[name]
        compiled.__qualname__, compiled.__module__ = f"{cls.__qualname__}.{name}", cls.__module__
        setattr(cls, name, compiled)
        return compiled(self, *args, **named)

    return method


def _init(cls: type[Any]) -> tuple[str, dict[str, Any]]:
    """A field of a frozen class is set by its slot, which takes half the time of `object.__setattr__`."""
    names: dict[str, Any] = {"put": object.__setattr__, "unset": dataclasses.MISSING}
    heads: dict[bool, list[str]] = {False: [], True: []}
    body = []
    for field in (f for f in dataclasses.fields(cls) if f.init):
        name, head, value = field.name, field.name, field.name
        if field.default_factory is not dataclasses.MISSING:
            names[f"make_{name}"] = field.default_factory
            head, value = f"{name}=unset", f"make_{name}() if {name} is unset else {name}"
        elif field.default is not dataclasses.MISSING:
            names[f"usual_{name}"] = field.default
            head = f"{name}=usual_{name}"
        heads[bool(field.kw_only)].append(head)
        if vars(cls).get("__delattr__") is not _no_delete:
            body.append(f"self.{name} = {value}")
        elif isinstance(slot := getattr(cls, name, None), MemberDescriptorType):
            names[f"put_{name}"] = slot.__set__
            body.append(f"put_{name}(self, {value})")
        else:
            body.append(f"put(self, {name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        body.append("self.__post_init__()")
    star = ["*"] if heads[True] else []
    return f"{', '.join(['self', *heads[False], *star, *heads[True]])}):\n " + "; ".join(body or ["pass"]), names


def _compared(cls: type[Any], of: str) -> str:
    return "(" + "".join(f"{of}.{f.name}, " for f in dataclasses.fields(cls) if f.compare) + ")"


def _eq(cls: type[Any]) -> tuple[str, dict[str, Any]]:
    same = f"{_compared(cls, 'self')} == {_compared(cls, 'other')}"
    return f"self, other):\n return {same} if other.__class__ is self.__class__ else NotImplemented", {}


def _hash(cls: type[Any]) -> tuple[str, dict[str, Any]]:
    return f"self):\n return hash({_compared(cls, 'self')})", {}


@recursive_repr()
def _repr(self: Any) -> str:
    told = ", ".join(f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self) if f.repr)
    return f"{self.__class__.__qualname__}({told})"


def _no_set(self: object, name: str, value: object) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_delete(self: object, name: str) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    return [getattr(self, f.name) for f in dataclasses.fields(self)]


def _set_state(self: Any, state: list[object]) -> None:
    for f, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, f.name, value)


TEXTS = {"__init__": _init, "__eq__": _eq, "__hash__": _hash}
FROZEN = {"__setattr__": _no_set, "__delattr__": _no_delete}
SLOTTED = {"__getstate__": _state, "__setstate__": _set_state}
