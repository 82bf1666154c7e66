"""How is the kernel compiled, and where is that kept?"""

from collections.abc import Callable
from functools import cache
from hashlib import blake2b
from importlib import import_module
from inspect import getsource, isfunction
from types import FunctionType
from typing import Any

MODULES = ("draws", "heaps", "knockout", "clocks", "places", "moves", "futures")
"""The kernel's modules; no two of their functions have one name."""

_ENTRY = "run"

_APART = ("set_up", "stand", "live_on", "harvest", "start_afresh")
"""Functions that are called seldom, or hold the others."""

_HOW: dict[str, Any] = {"nogil": True, "error_model": "numpy", "_nrt": False}
"""Nothing is allocated within, so that no references need to be counted."""


def live(world: Any, seed: Any, first: int, count: int) -> int:
    """Do what the kernel's `run` does, compiled; the first call compiles.

    What was compiled is kept on disk where numba keeps it (``NUMBA_CACHE_DIR``, beside
    the source, or the user's cache folder); where nothing can be written, it is
    compiled in each process anew.
    """
    try:
        return kernel(keep=True)(world, seed, first, count)
    except OSError:  # the disk is full, or the folder gone: nothing has run yet
        return kernel(keep=False)(world, seed, first, count)


@cache
def kernel(*, keep: bool) -> Callable[[Any, Any, int, int], int]:
    """Give the kernel's `run`, compiled at its first call, and kept on disk or not."""
    import numba

    njit: Any = numba.njit

    def entry(function: FunctionType) -> Any:
        # Numba looks at the time of one file; the name says what all of them hold.
        function.__qualname__ = f"{_ENTRY}_{digest()}"
        try:
            return njit(cache=keep, **_HOW)(function)
        except RuntimeError:  # no folder that can be written
            return njit(**_HOW)(function)

    def helper(function: FunctionType) -> Any:
        if function.__name__ in _APART:
            return njit(**_HOW)(function)
        # As an argument the whole world is slow: what takes it is put into its caller
        # before types are known, all else by the compiler.
        if "world" in function.__code__.co_varnames[:1]:
            return njit(inline="always", **_HOW)(function)
        return njit(forceinline=True, **_HOW)(function)

    made: Callable[[Any, Any, int, int], int] = _bound(helper, entry)
    return made


def interpreted() -> Callable[[Any, Any, int, int], int]:
    """Give the same `run` as plain Python: slow, but the source as it is read."""
    made: Callable[[Any, Any, int, int], int] = _bound(_as_it_is, _as_it_is)
    return made


@cache
def digest() -> str:
    """Give a short name of what the kernel's sources, and this one, hold."""
    sources = [*_modules(), import_module(__name__)]
    text = "".join(getsource(module) for module in sources)
    return blake2b(text.encode(), digest_size=8).hexdigest()


def _as_it_is(function: FunctionType) -> FunctionType:
    return function


def _modules() -> list[Any]:
    return [import_module(f"{__package__}.kernel.{name}") for name in MODULES]


def _bound(
    helper: Callable[[FunctionType], Any], entry: Callable[[FunctionType], Any]
) -> Any:
    """Copy all functions, each seeing the others as they were made, and numpy."""
    import numpy as np

    seen: dict[str, Any] = {"np": np}
    own: dict[str, FunctionType] = {}
    for module in _modules():
        seen.update(vars(module))
        for name, function in vars(module).items():
            if isfunction(function) and function.__module__ == module.__name__:
                own[name] = function
    for name, function in own.items():
        copy = FunctionType(function.__code__, seen, name)
        seen[name] = (entry if name == _ENTRY else helper)(copy)
    return seen[_ENTRY]
