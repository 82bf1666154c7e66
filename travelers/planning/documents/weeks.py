"""How many came on the floor and how many were finished, week by week, as a picture?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.queries import FlowWeek

WIDTH, HEIGHT = 760, 200


@dataclass(frozen=True, slots=True)
class WeeksWords:
    """What stands at the chart, in the reader's language."""

    title: str
    counted: str


def weeks_chart(*, weeks: Sequence[FlowWeek], words: WeeksWords, dark: bool) -> bytes:
    """Draw a bar for what was finished and a stroke for what came, as SVG."""
    inks = charts.NIGHT if dark else charts.DAY
    rows = [
        {
            "t": f"{week.first.isoformat()}T00:00:00",
            "finished": week.finished,
            "released": week.released,
        }
        for week in weeks
    ]
    top = 1 + max((max(week.finished, week.released) for week in weeks), default=0)
    wide = max(3, min(26, WIDTH // max(len(rows), 1) - 6))
    spec = {
        "title": words.title,
        "description": words.title,
        "width": WIDTH,
        "height": HEIGHT,
        "data": {"values": rows},
        "encoding": {
            "x": {
                "field": "t",
                "type": "temporal",
                "title": None,
                "scale": {"padding": 20},
                "axis": {
                    "format": "%-d %b",
                    "grid": False,
                    "labelOverlap": True,
                    "values": [row["t"] for row in rows],
                },
            }
        },
        "layer": _layers(words, inks, wide=wide, top=top),
    }
    return charts.svg(spec, inks=inks)


def _layers(words: WeeksWords, inks: charts.Inks, *, wide: int, top: int) -> list[Any]:
    y = {
        "type": "quantitative",
        "title": words.counted,
        "axis": {"tickMinStep": 1},
        "scale": {"domain": [0, top]},
    }
    stroke = {"thickness": 3, "size": wide + 6, "orient": "horizontal"}
    return [
        {
            "mark": {"type": "bar", "color": inks.line, "width": wide},
            "encoding": {"y": {"field": "finished", **y}},
        },
        {
            "mark": {"type": "tick", "color": inks.ink, **stroke},
            "encoding": {"y": {"field": "released", "type": "quantitative"}},
        },
    ]
