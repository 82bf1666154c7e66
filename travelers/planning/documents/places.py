"""How does a room empty, week by week, as a picture?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.queries import Week

WIDTH, HEIGHT = 940, 200


@dataclass(frozen=True, slots=True)
class PlacesWords:
    """What stands at the chart, in the reader's language."""

    title: str
    taken: str
    places: str


def places_chart(*, weeks: Sequence[Week], words: PlacesWords, dark: bool) -> bytes:
    """Draw the places taken, with the fewest and the most, as SVG."""
    inks = charts.NIGHT if dark else charts.DAY
    rows = [
        {
            "t": f"{week.day.isoformat()}T00:00:00",
            "likely": week.likely,
            "least": week.least,
            "most": week.most,
        }
        for week in weeks
    ]
    top = max(weeks[0].places, *(week.most for week in weeks))
    y = {
        "type": "quantitative",
        "title": words.taken,
        "scale": {"domain": [0, top], "nice": True},
    }
    spec = {
        "description": words.title,
        "data": {"values": rows},
        "width": WIDTH,
        "height": HEIGHT,
        "encoding": {
            "x": {
                "field": "t",
                "type": "temporal",
                "title": None,
                "axis": {"format": "%-d %b", "grid": False, "tickCount": "week"},
            }
        },
        "layer": [
            *_course(y, inks),
            *_limit(weeks[0].places, words.places, inks),
        ],
    }
    return charts.svg(spec, inks=inks)


def _course(y: Any, inks: charts.Inks) -> list[Any]:
    """Draw what is likely as a line, on a band from the fewest to the most."""
    step = {"interpolate": "step-after"}
    return [
        {
            "mark": {"type": "area", "color": inks.band, "opacity": 0.45, **step},
            "encoding": {"y": {"field": "least", **y}, "y2": {"field": "most"}},
        },
        {
            "mark": {"type": "line", "color": inks.line, "strokeWidth": 3, **step},
            "encoding": {"y": {"field": "likely", **y}},
        },
    ]


def _limit(places: int, word: str, inks: charts.Inks) -> list[Any]:
    """Draw how many places there are, with the number in words."""
    at = {"y": {"datum": places}}
    return [
        {
            "mark": {"type": "rule", "color": inks.warning, "strokeDash": [6, 4]},
            "encoding": {**at, "x": None},
        },
        {
            "mark": {
                "type": "text",
                "align": "right",
                "baseline": "bottom",
                "dy": -3,
                "color": inks.warning,
                "fontSize": 14,
            },
            "encoding": {
                **at,
                "x": {"value": WIDTH},
                "text": {"value": word},
            },
        },
    ]
