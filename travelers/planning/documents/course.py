"""What lay at which stage day by day, as a cumulative flow diagram?"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.documents.shades import apart, shade
from travelers.planning.queries import Course

WIDTH, HEIGHT = 760, 380
# A name stands so many dots from the one before, right of the picture.
LINE, BESIDE = 18, 34
# A reader's letters may be wider than those that the picture was measured with.
SPARE = 48


@dataclass(frozen=True, slots=True)
class CourseWords:
    """What stands at the diagram, in the reader's language."""

    title: str
    counted: str
    gone: str


def course_chart(*, course: Course, words: CourseWords, dark: bool) -> bytes:
    """Draw the bands, the last stage lowest, on what has left the floor, as SVG.

    Each band is named beside its end, with what lies there now; the shades go from
    light to dark, so that they are told apart without colour.
    """
    inks = charts.NIGHT if dark else charts.DAY
    names = [words.gone, *(one.name for one in reversed(course.stages))]
    top = max(1, *(row.gone + row.lay for row in course.days))
    spec = {
        "title": words.title,
        "description": words.title,
        "padding": {"left": 8, "top": 8, "right": SPARE, "bottom": 8},
        "width": WIDTH,
        "height": HEIGHT,
        "data": {"values": list(_rows(course, names))},
        "encoding": {
            "x": {
                "field": "t",
                "type": "temporal",
                "title": None,
                "axis": {"format": "%-d %b", "grid": False, "labelOverlap": True},
            }
        },
        "layer": [*_bands(names, top, words, inks), *_named(course, names, top, inks)],
    }
    return charts.svg(spec, inks=inks)


def _rows(course: Course, names: list[str]) -> Iterator[dict[str, Any]]:
    for row in course.days:
        low = 0
        for name, n in zip(names, (row.gone, *reversed(row.lays)), strict=True):
            yield {
                "t": f"{row.day.isoformat()}T00:00:00",
                "s": name,
                "low": low,
                "high": low + n,
            }
            low += n


def _bands(
    names: list[str], top: int, words: CourseWords, inks: charts.Inks
) -> list[Any]:
    y = {
        "type": "quantitative",
        "title": words.counted,
        "scale": {"domain": [0, top], "nice": True},
        "axis": {"tickMinStep": 1},
    }
    fills = [inks.grid, *_fills(len(names) - 1, inks)]
    return [
        {
            "mark": {"type": "area", "opacity": 1},
            "encoding": {
                "y": {"field": "low", **y},
                "y2": {"field": "high"},
                "color": {
                    "field": "s",
                    "type": "nominal",
                    "scale": {"domain": names, "range": fills},
                    "legend": None,
                },
            },
        },
        {
            "mark": {"type": "line", "color": inks.ink, "strokeWidth": 0.8},
            "encoding": {
                "y": {"field": "high", "type": "quantitative"},
                "detail": {"field": "s", "type": "nominal"},
            },
        },
    ]


def _fills(count: int, inks: charts.Inks) -> list[str]:
    """Give shades from dark, for the last stage, to light, for the first."""
    steps = max(count - 1, 1)
    return [shade(inks.paper, inks.line, 0.95 - 0.85 * n / steps) for n in range(count)]


def _named(course: Course, names: list[str], top: int, inks: charts.Inks) -> list[Any]:
    """Name the bands beside their ends, each tied to its own by a line."""
    last = course.days[-1]
    ends, low = [], 0
    for name, n in zip(names, (last.gone, *reversed(last.lays)), strict=True):
        if n:
            ends.append((low + n / 2, f"{name} {n}"))
        low += n
    places = apart([middle for middle, _ in ends], top * LINE / HEIGHT)
    values = [
        {"at": middle, "place": place, "text": text}
        for (middle, text), place in zip(ends, places, strict=True)
    ]
    at = {"type": "quantitative"}
    return [
        {
            "data": {"values": values},
            "mark": {"type": "rule", "color": inks.ink, "strokeWidth": 0.8},
            "encoding": {
                "x": {"value": WIDTH + 2},
                "x2": {"value": WIDTH + BESIDE - 6},
                "y": {"field": "at", **at},
                "y2": {"field": "place"},
            },
        },
        {
            "data": {"values": values},
            "mark": {"type": "text", "align": "left", "baseline": "middle"},
            "encoding": {
                "x": {"value": WIDTH + BESIDE},
                "y": {"field": "place", **at},
                "text": {"field": "text"},
            },
        },
    ]
