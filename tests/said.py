"""Is every refusal reached by some test?  Noted while the tests run.

A refusal is reached when a rule fills in its words or a verb raises it.  Only a run of
all tests can tell; the workers of such a run hand what they noted to the one that
reports.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from travelers.kit.refusals import Refusal, Refused

KEY = "refusals_said"
said: set[str] = set()


@contextmanager
def noted() -> Iterator[None]:
    """Note every refusal that is filled in or raised."""
    about, begin = Refusal.about, Refused.__init__

    def noting_about(one: Refusal, **words: str) -> Refusal:
        said.add(one.code)
        return about(one, **words)

    def noting_begin(one: Refused, refusal: Refusal) -> None:
        said.add(refusal.code)
        begin(one, refusal)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Refusal, "about", noting_about)
        patch.setattr(Refused, "__init__", noting_begin)
        yield


def hand_over(config: pytest.Config) -> None:
    """Give what this worker noted to the one that reports."""
    output: dict[str, Any] | None = getattr(config, "workeroutput", None)
    if output is not None:
        output[KEY] = sorted(said)


def take(node: Any) -> None:
    said.update(getattr(node, "workeroutput", {}).get(KEY, ()))


def never_said(config: pytest.Config) -> list[str]:
    """Name the refusals that a run of all tests never reached."""
    from tests.house.test_refusals import all_refusals

    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    chosen = config.option
    part = chosen.keyword or chosen.markexpr or chosen.collectonly
    if not whole or part or hasattr(config, "workeroutput"):
        return []
    return [one.code for one in all_refusals() if one.code not in said]
