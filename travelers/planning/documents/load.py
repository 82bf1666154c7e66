"""How much of each station's open hours will be taken, as a picture?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.queries.forecast.page import StationRow

WIDTH, ROW, MOST = 640, 30, 12


@dataclass(frozen=True, slots=True)
class LoadWords:
    """What stands at the chart, in the reader's language."""

    title: str
    load: str
    full: str


def load_chart(
    *, stations: Sequence[StationRow], words: LoadWords, dark: bool
) -> bytes:
    """Draw a bar for each of the most loaded attended stations, as SVG.

    The number stands at each bar, so that the picture can be read without colours.
    """
    inks = charts.NIGHT if dark else charts.DAY
    most = sorted(
        (one for one in stations if one.is_attended),
        key=lambda one: (-one.load_pct, one.code),
    )[:MOST]
    rows = [
        {
            "name": one.name,
            "load": round(one.load_pct, 1),
            "said": f"{one.load_pct:.0f}",
        }
        for one in most
    ]
    spec = {
        "title": words.title,
        "description": words.title,
        "data": {"values": rows},
        "width": WIDTH,
        "height": ROW * max(1, len(rows)),
        "padding": {"top": 8, "left": 50, "right": 20, "bottom": 8},
        "layer": [*_bars(words.load, inks), *_full(words.full, inks)],
    }
    return charts.svg(spec, inks=inks)


def _bars(word: str, inks: charts.Inks) -> list[Any]:
    """Draw each station's bar, with its number at the end."""
    y = {"field": "name", "type": "nominal", "sort": None, "title": None}
    # The type is broader than what the drawing reckons with.
    axis = {"labelLimit": 300, "ticks": False, "domain": False, "labelPadding": 8}
    x = {
        "field": "load",
        "type": "quantitative",
        "title": word,
        "scale": {"domain": [0, 105], "clamp": True},
    }
    return [
        {
            "mark": {"type": "bar", "color": inks.line, "height": 16},
            "encoding": {"y": {**y, "axis": axis}, "x": x},
        },
        {
            "mark": {"type": "text", "align": "left", "dx": 4, "color": inks.ink},
            "encoding": {"y": y, "x": x, "text": {"field": "said"}},
        },
    ]


def _full(word: str, inks: charts.Inks) -> list[Any]:
    """Draw where all places are always taken."""
    at = {"x": {"datum": 100}}
    text = {"type": "text", "color": inks.warning, "baseline": "bottom", "dy": -4}
    # Of one row, or each station would draw it once more.
    once: dict[str, Any] = {"values": [{}]}
    return [
        {
            "data": once,
            "mark": {"type": "rule", "color": inks.warning, "strokeDash": [6, 4]},
            "encoding": at,
        },
        {
            "data": once,
            "mark": text,
            "encoding": {**at, "y": {"value": 0}, "text": {"value": word}},
        },
    ]
