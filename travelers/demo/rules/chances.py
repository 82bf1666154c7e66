"""What comes by chance, the same for the same seed?"""

from collections.abc import Sequence
from datetime import timedelta
from random import Random
from typing import TypeVar
from uuid import UUID

T = TypeVar("T")


class Chances:
    """Streams of chance by name, so that one more draw here changes nothing there."""

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._streams: dict[str, Random] = {}

    def of(self, name: str) -> Random:
        if name not in self._streams:
            self._streams[name] = Random(f"{self._seed} {name}")
        return self._streams[name]

    def happens(self, name: str, share: float) -> bool:
        return self.of(name).random() < share

    def one_of(self, name: str, choices: Sequence[T]) -> T:
        return self.of(name).choice(choices)

    def minutes(self, name: str, least: float, most: float) -> timedelta:
        return timedelta(seconds=round(60 * self.of(name).uniform(least, most)))

    def event_id(self) -> UUID:
        return UUID(int=self.of("events").getrandbits(128), version=4)
