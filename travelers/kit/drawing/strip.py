"""Where does one instrument stand: its own fingerboard as a strip and a spark?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from travelers.kit.drawing import letters, marks
from travelers.kit.drawing.board_plan import Strand
from travelers.kit.drawing.fingerboard import LOOK_WORDS
from travelers.kit.drawing.marks import Look
from travelers.kit.drawing.pen import num, picture, tag, text
from travelers.kit.refusals import gettext_noop

HEAD = 108.0
WIDE = 860.0
NARROWEST = 480.0
ROW = 40.0
TOP = 10.0
CURVE = 34.0
SPARK = (120.0, 16.0)
PAST = frozenset({Look.DONE, Look.VOID})
AHEAD = frozenset({Look.TO_COME})


@dataclass(frozen=True, slots=True)
class Dot:
    """One operation of one instrument, in the order of its route."""

    strand: str
    look: Look
    name: str = ""

    @property
    def here(self) -> bool:
        return self.look not in PAST | AHEAD


@dataclass(frozen=True, slots=True)
class StripWords:
    title: str = gettext_noop("Where this instrument stands")
    here: str = gettext_noop("{name}: {look}")
    told: str = gettext_noop("{strand}: {done} of {all} done")
    looks: Mapping[Look, str] = field(default_factory=lambda: LOOK_WORDS)


@dataclass(frozen=True, slots=True)
class _Line:
    """A strand laid out: where its dots sit."""

    strand: Strand
    dots: tuple[Dot, ...]
    y: float
    places: tuple[float, ...]


def strip(
    dots: Sequence[Dot],
    strings: Sequence[Strand],
    *,
    words_: StripWords | None = None,
    wide: float = WIDE,
) -> str:
    """Draw every operation as a mark; those at hand are large and named.

    Letters keep their size, so a smaller ``wide`` sets them larger for paper.
    """
    if wide < NARROWEST:
        raise ValueError(f"A strip is at least {NARROWEST:g} wide.")
    said = words_ or StripWords()
    joint = _joint(dots, strings, wide)
    lines = _lines(dots, strings, joint, wide)
    feeders = [line for line in lines if not line.strand.joins_at]
    high = TOP + ROW * len(feeders) + 34
    drawn = _wood(lines, joint, wide)
    for line in lines:
        drawn.extend(_marks(line))
        drawn.extend(_here(line, said, wide))
    drawn.append(_legend(dots, high, said))
    return picture(
        *drawn,
        box=(wide, high),
        title=said.title,
        desc=_told(lines, said),
        class_="fb fb-strip",
    )


def spark(
    dots: Sequence[Dot],
    strings: Sequence[Strand],
    *,
    words_: StripWords | None = None,
) -> str:
    """Draw the same in 120 by 16: thick for what is done, thin for what is to come,
    a dot where the part is now (a bar if it is held)."""
    said = words_ or StripWords()
    wide, _ = SPARK
    joined = next((s for s in strings if s.joins_at), None)
    feeders = [s for s in strings if not s.joins_at]
    share = _share(dots, strings)
    joint = 4 + (wide - 8) * share
    drawn = []
    gap = 12 / max(1, len(feeders) - 1) if len(feeders) > 1 else 0
    for i, strand in enumerate(feeders):
        y = 2 + gap * i if len(feeders) > 1 else 8.0
        end = joint - 6 if joined else wide - 4
        drawn.extend(_thread(dots, strand, 4, end, y))
        if joined:
            drawn.append(_thin(f"M{num(end)} {num(y)}L{num(joint)} 8"))
    if joined:
        drawn.extend(_thread(dots, joined, joint, wide - 4, 8))
    return picture(
        *drawn,
        box=SPARK,
        size=SPARK,
        title=said.title,
        desc=_told(_lines(dots, strings, None, WIDE), said),
        class_="fb-spark",
    )


def _thread(
    dots: Sequence[Dot], strand: Strand, start: float, end: float, y: float
) -> list[str]:
    own = [d for d in dots if d.strand == strand.code and d.look is not Look.VOID]
    drawn = [_thin(f"M{num(start)} {num(y)}H{num(end)}")]
    if not own:
        return drawn
    past = sum(d.look is Look.DONE for d in own) / len(own)
    x = start + (end - start) * past
    if past:
        thick = f"M{num(start)} {num(y)}H{num(x)}"
        drawn.append(
            tag("path", d=thick, stroke="#000", stroke_width=2.6, class_="fb-done")
        )
    at_hand = next((d.look for d in own if d.here), None)
    if at_hand is not None:
        place = [(min(max(x, start + 3), end), y)]
        drawn.append(marks.ground(place, 3.4))
        drawn.append(marks.shapes(at_hand, place, 2.8))
    return drawn


def _thin(path: str) -> str:
    return tag(
        "path", d=path, fill="none", stroke="#777", stroke_width=1, class_="fb-string"
    )


def _share(dots: Sequence[Dot], strings: Sequence[Strand]) -> float:
    """How much of the length lies before the joint: as much as it has operations."""
    joined = next((s for s in strings if s.joins_at), None)
    if joined is None:
        return 1.0
    after = sum(d.strand == joined.code for d in dots)
    before = max(
        (sum(d.strand == s.code for d in dots) for s in strings if not s.joins_at),
        default=0,
    )
    return min(0.75, max(0.35, before / ((before + after) or 1)))


def _joint(dots: Sequence[Dot], strings: Sequence[Strand], wide: float) -> float | None:
    if not any(s.joins_at for s in strings):
        return None
    return HEAD + (wide - 20 - HEAD) * _share(dots, strings)


def _lines(
    dots: Sequence[Dot], strings: Sequence[Strand], joint: float | None, wide: float
) -> list[_Line]:
    if unknown := {d.strand for d in dots} - {s.code for s in strings}:
        raise ValueError(f"No string {min(unknown)} on this strip.")
    feeders = [s for s in strings if not s.joins_at]
    rows = {s.code: TOP + ROW * (i + 0.62) for i, s in enumerate(feeders)}
    middle = sum(rows.values()) / max(1, len(rows))
    lines = []
    for strand in strings:
        own = tuple(d for d in dots if d.strand == strand.code)
        start, end = HEAD + 12, wide - 24
        if joint is not None and strand.joins_at:
            start = joint + 14
        elif joint is not None:
            end = joint - CURVE - 6
        step = (end - start) / max(1, len(own) - 1)
        places = tuple(start + step * i for i in range(len(own)))
        lines.append(_Line(strand, own, rows.get(strand.code, middle), places))
    return lines


def _wood(lines: list[_Line], joint: float | None, wide: float) -> list[str]:
    feeders = [line for line in lines if not line.strand.joins_at]
    top, bottom = TOP, TOP + ROW * len(feeders)
    drawn = [
        tag(
            "rect", x=HEAD, y=top, width=wide - 12 - HEAD, height=bottom - top,
            fill="#fff", stroke="#000", stroke_width=1, class_="fb-wood",
        ),
        tag(
            "rect", x=HEAD - 6, y=top - 2, width=7, height=bottom - top + 4, rx=2,
            fill="#fff", stroke="#000", stroke_width=1, class_="fb-nut",
        ),
        tag(
            "rect", x=wide - 15, y=top - 2, width=5, height=bottom - top + 4, rx=2,
            fill="#000", class_="fb-bridge",
        ),
    ]  # fmt: skip
    for line in feeders:
        y = line.y
        path = f"M{num(HEAD)} {num(y)}H{num(wide - 14)}"
        if joint is not None:
            to = sum(f.y for f in feeders) / len(feeders)
            bend, mid = joint - CURVE, joint - CURVE / 2
            path = (
                f"M{num(HEAD)} {num(y)}H{num(bend)}C{num(mid)} {num(y)} {num(mid)} "
                f"{num(to)} {num(joint)} {num(to)}"
            )
        drawn.append(_thin(path))
        name = letters.clip(line.strand.name, 14, HEAD - 16, bold=True)
        drawn.append(text(4, y + 5, name, 14, font_weight=700, class_="fb-name"))
    for line in lines:
        if joint is not None and line.strand.joins_at:
            drawn.append(_thin(f"M{num(joint)} {num(line.y)}H{num(wide - 14)}"))
    return drawn


def _marks(line: _Line) -> list[str]:
    """Draw the quiet marks; a strand of many operations draws them smaller."""
    step = line.places[1] - line.places[0] if len(line.places) > 1 else 12.0
    r = max(2.0, min(5.0, step * 0.42))
    drawn = []
    for look in Look:
        at = [
            (x, line.y)
            for d, x in zip(line.dots, line.places, strict=True)
            if d.look is look and not d.here
        ]
        if at:
            drawn.append(marks.ground(at, r))
            drawn.append(marks.shapes(look, at, r))
    return drawn


def _here(line: _Line, said: StripWords, wide: float) -> list[str]:
    drawn = []
    end = HEAD
    for dot, x in zip(line.dots, line.places, strict=True):
        if not dot.here:
            continue
        drawn.append(marks.ground([(x, line.y)], 9))
        drawn.append(marks.shapes(dot.look, [(x, line.y)], 7))
        if not dot.name:
            continue
        told = said.here.format(name=dot.name, look=said.looks[dot.look])
        told = letters.clip(told, 13, 300, bold=True)
        long = letters.width(told, 13, bold=True)
        left = min(max(x - long / 2, HEAD + 4), wide - 18 - long)
        if left < end:
            continue  # Two names on one string would overlap; the marks remain.
        end = left + long + 10
        drawn.append(
            text(left, line.y - 10, told, 13, font_weight=700, class_="fb-name")
        )
    return drawn


def _legend(dots: Sequence[Dot], high: float, said: StripWords) -> str:
    x, y = HEAD, high - 10
    drawn = []
    for look in Look:
        if not any(d.look is look for d in dots):
            continue
        drawn.append(marks.shapes(look, [(x + 6, y - 5)], 5))
        drawn.append(text(x + 16, y, said.looks[look], 13, class_="fb-name"))
        x += 16 + letters.width(said.looks[look], 13) + 20
    return tag("g", *drawn)


def _told(lines: list[_Line], said: StripWords) -> str:
    """Say the strip in words: how far each strand is and what is at hand."""
    parts = []
    for line in lines:
        if not line.dots:
            continue
        counted = [d for d in line.dots if d.look is not Look.VOID]
        done = sum(d.look is Look.DONE for d in counted)
        told = said.told.format(strand=line.strand.name, done=done, all=len(counted))
        now = [
            said.here.format(name=d.name, look=said.looks[d.look])
            for d in line.dots
            if d.here and d.name
        ]
        parts.append("; ".join([told, *now]))
    return ". ".join(parts) + "." if parts else ""
