"""Which shades tell bands apart, in colour and without, and where are they named?"""

from dataclasses import dataclass


def shade(paper: str, ink: str, share: float) -> str:
    """Mix two colours; a share of 0 is the first, of 1 the second."""
    mixed = (
        round(low + (high - low) * share)
        for low, high in zip(_parts(paper), _parts(ink), strict=True)
    )
    return "#" + "".join(f"{part:02x}" for part in mixed)


def _parts(colour: str) -> list[int]:
    return [int(colour[n : n + 2], 16) for n in (1, 3, 5)]


def apart(places: list[float], least: float) -> list[float]:
    """Move ordered places apart until no two are nearer than the least.

    Neighbours that are too near move away from their middle together.
    """
    heaps: list[_Heap] = []
    for place in places:
        heap = _Heap(place, 1)
        while heaps and heaps[-1].reach(least) > heap.mean - heap.count * least / 2:
            heap = heap.with_(heaps.pop())
        heaps.append(heap)
    return [place for heap in heaps for place in heap.places(least)]


@dataclass(frozen=True, slots=True)
class _Heap:
    """Places that stand as near to each other as they may, round their mean."""

    mean: float
    count: int

    def reach(self, least: float) -> float:
        return self.mean + self.count * least / 2

    def with_(self, other: "_Heap") -> "_Heap":
        count = self.count + other.count
        mean = (self.mean * self.count + other.mean * other.count) / count
        return _Heap(mean, count)

    def places(self, least: float) -> list[float]:
        return [
            self.mean + (n - (self.count - 1) / 2) * least for n in range(self.count)
        ]
