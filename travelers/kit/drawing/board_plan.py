"""How are strings, frets, nut and bridge of the board laid out?"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from travelers.kit.drawing import letters

HEAD = 112.0
MARGIN = 14.0
ROW = 112.0
STRING_IN_ROW = 70.0
LABEL = 13.5
LINE = 15.0
NARROWEST = 51.0
CURVE = 40.0
# Two neighbouring frets of equal temperament are 2 ** (1 / 12) apart in length.
TEMPERED = 2 ** (-1 / 12)


@dataclass(frozen=True, slots=True)
class Fret:
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class Strand:
    """A branch; with ``joins_at`` the strands before it run together into it at
    that stage."""

    code: str
    name: str
    joins_at: str = ""


@dataclass(frozen=True, slots=True)
class Spot:
    """The middle of a cell on its string, and its width."""

    x: float
    y: float
    wide: float


@dataclass(frozen=True, slots=True)
class Plan:
    frets: tuple[Fret, ...]
    strands: tuple[Strand, ...]
    edges: tuple[float, ...]
    rows: dict[str, float]
    top: float
    wide: float
    high: float
    lines: tuple[tuple[float, tuple[str, ...]], ...]

    @property
    def nut(self) -> float:
        return self.edges[0]

    @property
    def bridge(self) -> float:
        return self.edges[-1]

    @property
    def bottom(self) -> float:
        return self.top + ROW * len(self.feeders)

    @property
    def joined(self) -> Strand | None:
        return next((s for s in self.strands if s.joins_at), None)

    @property
    def feeders(self) -> tuple[Strand, ...]:
        return tuple(s for s in self.strands if not s.joins_at)

    def joint(self) -> tuple[float, float]:
        """Give the x where strings begin to run together and where they have."""
        joined = self.joined
        if joined is None:
            return self.bridge, self.bridge
        i = self.index(joined.joins_at)
        middle = (self.edges[i] + self.edges[i + 1]) / 2
        return middle - CURVE / 2, middle + CURVE / 2

    def strand_name(self, code: str) -> str:
        return next(s.name for s in self.strands if s.code == code)

    def fret_name(self, code: str) -> str:
        return self.frets[self.index(code)].name

    def index(self, fret: str) -> int:
        for i, each in enumerate(self.frets):
            if each.code == fret:
                return i
        raise ValueError(f"No stage {fret} on this board.")

    def reach(self, strand: str, fret: str) -> str:
        """Give the stage nearest to ``fret`` that the strand passes."""
        if strand not in self.rows:
            raise ValueError(f"No string {strand} on this board.")
        joined = self.joined
        if joined is None:
            return self.frets[self.index(fret)].code
        here, joint = self.index(fret), self.index(joined.joins_at)
        near = max(here, joint) if strand == joined.code else min(here, joint)
        return self.frets[near].code

    def spot(self, strand: str, fret: str) -> Spot:
        i = self.index(fret)
        left, right = self.edges[i], self.edges[i + 1]
        joined = self.joined
        if joined is not None and fret == joined.joins_at:
            if strand == joined.code:
                left = self.joint()[1]
            else:
                right = self.joint()[0]
        return Spot((left + right) / 2, self.rows[strand], right - left)


def lay_out(frets: Sequence[Fret], strands: Sequence[Strand]) -> Plan:
    """Lay the board out; it grows wider than 1000 only for very many stages."""
    if not frets or not strands:
        raise ValueError("A board needs at least one string and one fret.")
    joined = [s for s in strands if s.joins_at]
    feeders = [s for s in strands if not s.joins_at]
    if len(joined) > 1 or (joined and len(feeders) < 2):
        raise ValueError("One string may join, and it needs two to join.")
    codes = [f.code for f in frets]
    if joined and joined[0].joins_at not in codes:
        raise ValueError(f"No stage {joined[0].joins_at} on this board.")
    share = [2.0 if joined and c == joined[0].joins_at else 1.0 for c in codes]
    wide = max(1000.0, HEAD + 2 * MARGIN + sum(share) * NARROWEST + CURVE)
    edges = _edges(share, HEAD + MARGIN, wide - MARGIN, bool(joined))
    lines = _labels(frets, edges)
    top = 14 + LINE * max(line for line, _ in lines) + 6
    rows = {s.code: top + ROW * i + STRING_IN_ROW for i, s in enumerate(feeders)}
    for strand in joined:
        rows[strand.code] = sum(rows.values()) / len(rows)
    high = top + ROW * len(feeders) + 46
    return Plan(
        tuple(frets), tuple(strands), edges, rows, top, wide, high,
        tuple((row, said) for row, said in lines),
    )  # fmt: skip


def _edges(
    share: list[float], start: float, end: float, joined: bool
) -> tuple[float, ...]:
    """Narrow the spaces towards the bridge as far as the labels allow."""
    room = end - start - (CURVE if joined else 0)
    ratio = TEMPERED
    while True:
        sizes = [part * ratio**i for i, part in enumerate(share)]
        unit = room / sum(sizes)
        if min(s / p for s, p in zip(sizes, share, strict=True)) * unit >= NARROWEST:
            break
        ratio += (1 - ratio) / 8
        if ratio > 0.9995:
            sizes, unit = share, room / sum(share)
            break
    edges = [start]
    for size, part in zip(sizes, share, strict=True):
        edges.append(edges[-1] + size * unit + (CURVE if part > 1 else 0))
    return tuple(edges)


def _labels(
    frets: Sequence[Fret], edges: tuple[float, ...]
) -> list[tuple[int, tuple[str, ...]]]:
    """Break the stages' names into lines; if one is wider than its space, every
    second name is lifted above its neighbours and may spread over theirs."""
    rooms = [right - left - 6 for left, right in pairwise(edges)]
    plain = [
        letters.wrap(f.name, LABEL, room) for f, room in zip(frets, rooms, strict=True)
    ]
    fits = all(
        letters.width(line, LABEL) <= room
        for said, room in zip(plain, rooms, strict=True)
        for line in said
    )
    if fits:
        return [(len(said), tuple(said)) for said in plain]
    spread = [
        [
            letters.clip(line, LABEL, room * 1.9)
            for line in letters.wrap(f.name, LABEL, room * 1.9)
        ]
        for f, room in zip(frets, rooms, strict=True)
    ]
    low = max(len(said) for said in spread[::2])
    return [
        (len(said) + (low if i % 2 else 0), tuple(said))
        for i, said in enumerate(spread)
    ]
