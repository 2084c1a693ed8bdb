"""Our dataclasses are held to those of the standard library, made from the same words."""

from __future__ import annotations

import ast
import copy
import dataclasses
import pickle
import subprocess
import sys
import threading
import types
from pathlib import Path

import pytest

import rackview
from rackview.core.dataclass import dataclass

WORDS = """
from dataclasses import field
from functools import cached_property
from typing import ClassVar, Generic, TypeVar

V = TypeVar("V")

@dataclass(frozen=True, slots=True)
class Plain:
    \"\"\"Words.\"\"\"
    kind: ClassVar[str] = "plain"
    a: int
    b: str = "b"
    c: list = field(default_factory=list)
    def __post_init__(self):
        if self.a < 0:
            raise ValueError("a")

@dataclass(frozen=True, slots=True, kw_only=True)
class Base:
    at: int
    by: str = ""

@dataclass(frozen=True, slots=True, kw_only=True)
class Under(Base):
    rank: ClassVar[int] = 3
    where: str
    by: str = "me"

@dataclass(frozen=True)
class Loose:
    a: int = 1
    b: float = field(default=2.0, kw_only=True)
    twice = cached_property(lambda self: 2 * self.a)

@dataclass(frozen=True, slots=True)
class Hidden:
    a: int
    b: dict = field(default_factory=dict, compare=False, repr=False)
    c: int = field(init=False)
    def __post_init__(self):
        object.__setattr__(self, "c", self.a + 1)

@dataclass(frozen=True, slots=True, eq=False)
class Alone:
    a: int

@dataclass(frozen=True, slots=True)
class Own(Generic[V]):
    a: V
    def __eq__(self, other):
        return True
    def __repr__(self):
        return "own"

@dataclass(frozen=True, repr=False)
class Silent:
    a: int

@dataclass(frozen=True, slots=True)
class Nothing:
    pass

@dataclass(slots=True)
class Changes:
    a: int = 0
    b: list = field(default_factory=list)

@dataclass()
class Free:
    a: int
    b: int = 3
"""
NAMES = ("Plain", "Base", "Under", "Loose", "Hidden", "Alone", "Own", "Silent", "Nothing", "Changes", "Free")
CALLS = ((), (1,), (-1,), (1, "x"), (1, "x", [2]), (1, 2, 3, 4), {"at": 1}, {"at": 1, "where": "x"}, {"a": 2, "b": 3.0})


def made(name: str, by: object) -> types.ModuleType:
    module = sys.modules[name] = types.ModuleType(name)
    module.__dict__["dataclass"] = by
    exec("from __future__ import annotations\n" + WORDS, module.__dict__)  # noqa: S102
    return module


@pytest.fixture
def both():
    yield made("ours_made", dataclass), made("theirs_made", dataclasses.dataclass)
    del sys.modules["ours_made"], sys.modules["theirs_made"]


def tried(work):
    """What comes of it, as text: an object's own place in memory left out."""
    try:
        return type(found := work()).__name__, str(found).split(" at 0x")[0].replace("ours_", "").replace("theirs_", "")
    except (TypeError, ValueError, AttributeError) as error:
        return type(error).__name__, str(error)


def called(cls, words):
    return cls(**words) if isinstance(words, dict) else cls(*words)


@pytest.mark.parametrize("name", NAMES)
def test_making_is_that_of_the_standard_library_in_every_answer(both, name):
    answers = [[tried(lambda w=w, m=m: called(getattr(m, name), w)) for w in CALLS] for m in both]
    assert answers[0] == answers[1]
    assert any(name in found[1] or name in {"Own", "Silent"} for found in answers[0])


@pytest.mark.parametrize("name", NAMES)
def test_all_that_can_be_done_with_one_is_that_of_the_standard_library(both, name):
    def answers(cls):
        words = next(w for w in CALLS[::-1] if not tried(lambda w=w: called(cls, w))[0].endswith("Error"))
        one, same, other = called(cls, words), called(cls, words), called(cls, words)
        if values := dataclasses.asdict(one):
            first = next(iter(values))
            other = dataclasses.replace(one, **{first: 7})
            yield tried(lambda: setattr(one, first, 9)), tried(lambda: delattr(same, first))
        yield tried(lambda: one == same), tried(lambda: one == other), tried(lambda: one != other), one == values
        yield tried(lambda: hash(one) == hash(same)), tried(lambda: repr(other)), values
        for twin in (copy.copy(one), copy.deepcopy(one), pickle.loads(pickle.dumps(one))):  # noqa: S301
            yield tried(lambda twin=twin: twin == one), tried(lambda twin=twin: repr(twin)), dataclasses.asdict(twin)
        yield cls.__match_args__, getattr(cls, "__slots__", None), [(f.name, f.type) for f in dataclasses.fields(cls)]

    assert list(answers(getattr(both[0], name))) == list(answers(getattr(both[1], name)))


def test_each_method_is_compiled_when_it_is_first_called_and_then_is_the_classs_own(both):
    cls = both[0].Base
    before = [vars(cls)[name] for name in ("__init__", "__eq__", "__hash__")]
    one, same = cls(at=1), cls(at=1)
    assert [vars(cls)[n] is b for n, b in zip(("__init__", "__eq__", "__hash__"), before, strict=True)] == [0, 1, 1]
    assert one == same
    assert hash(one) == hash(same)
    assert not any(vars(cls)[n] is b for n, b in zip(("__init__", "__eq__", "__hash__"), before, strict=True))
    assert before[0](one, at=2) is None  # one that another thread had in hand still does its work
    assert (one, one == same) == (cls(at=2), False)


def test_an_inherited_method_is_that_of_the_class_that_has_it(both):
    """An older stand-in does not take the place of what a class under it has."""
    base, under = both[0].Base, both[0].Under
    one = under(at=1, where="x")
    assert (one.by, one == base(at=1, by="me"), base(at=1, by="me") == one) == ("me", False, False)
    assert one == under(at=1, where="x")


def test_many_threads_may_make_the_first_one(both):
    cls, found, gate = both[0].Plain, [], threading.Barrier(8)

    def make(number):
        gate.wait()
        found.append(cls(number))

    threads = [threading.Thread(target=make, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(one.a for one in found) == list(range(8))


def test_a_name_that_is_no_field_can_not_be_set_either(both):
    """With slots the standard library fails there by accident, as it looks for a class that is no more."""
    for name in ("Plain", "Alone"):
        with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'unheard'"):
            getattr(both[0], name)(1).unheard = 9


def test_one_that_holds_itself_can_be_shown(both):
    for module in both:
        one = module.Plain(1)
        one.c.append(one)
        assert repr(one) == "Plain(a=1, b='b', c=[...])"


def test_every_dataclass_of_the_program_is_ours():
    """One that the standard library makes costs a start ten times as much."""
    for path in Path(rackview.__file__).parent.rglob("*.py"):
        froms = {
            node.module
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom) and any(name.name == "dataclass" for name in node.names)
        }
        assert froms <= {"rackview.core.dataclass"} or path.name == "dataclass.py", path


@pytest.mark.parametrize("module", ["rackview.core.events", "rackview.rules.alarm"])
def test_no_method_of_a_class_is_compiled_before_it_is_called(module):
    code = (
        f"import dataclasses, {module} as m; from rackview.core.dataclass import _when_called as w; "
        "made = [c for c in vars(m).values() if dataclasses.is_dataclass(c) and c.__module__ == m.__name__]; "
        "print(len(made), [c.__name__ for c in made if c.__init__.__code__.co_name != 'method'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    number, rest = done.stdout.split(maxsplit=1)
    assert int(number) > 1
    assert rest.strip() == "[]"
