"""How old is what is open at each stage, held against how long others took?"""

from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.documents.course import SPARE
from travelers.planning.documents.shades import apart
from travelers.planning.queries import Ages

WIDTH, HEIGHT = 740, 300
# The words of two lines stand so many dots apart.
LINE = 18


@dataclass(frozen=True, slots=True)
class AgesWords:
    """What stands at the chart, in the reader's language.

    ``of_100`` has a place for ``{pct}``.
    """

    title: str
    days: str
    of_100: str


def ages_chart(*, ages: Ages, words: AgesWords, dark: bool) -> bytes:
    """Draw a mark for each instrument by stage and age, a diamond where it is old, as
    SVG.

    The lines are the lead times below which so many of 100 were finished.
    """
    inks = charts.NIGHT if dark else charts.DAY
    old = ages.old_days
    seen: dict[str, int] = {}
    rows = []
    for one in ages.rows:
        n = seen[one.stage] = seen.get(one.stage, 0) + 1
        rows.append(
            {
                "s": one.stage,
                "age": round(one.age_days, 1),
                # Beside each other rather than one upon the other.
                "beside": n % 7,
                "old": old is not None and one.age_days > old,
            }
        )
    spec = {
        "title": words.title,
        "description": words.title,
        "padding": {"left": 8, "top": 8, "right": SPARE, "bottom": 8},
        "width": WIDTH,
        "height": HEIGHT,
        "data": {"values": rows},
        "layer": [_marks(ages, words, inks), *_lines(ages, words, inks)],
    }
    return charts.svg(spec, inks=inks)


def _marks(ages: Ages, words: AgesWords, inks: charts.Inks) -> Any:
    return {
        "mark": {"type": "point", "filled": True, "size": 60, "opacity": 0.9},
        "encoding": {
            "x": {
                "field": "s",
                "type": "nominal",
                "title": None,
                "scale": {"domain": list(ages.stages)},
                "axis": {"labelAngle": -30, "grid": False},
            },
            "xOffset": {"field": "beside", "type": "ordinal"},
            "y": {
                "field": "age",
                "type": "quantitative",
                "title": words.days,
                "scale": {"domain": [0, _top(ages)]},
            },
            "shape": {
                "field": "old",
                "type": "nominal",
                "scale": {"domain": [False, True], "range": ["circle", "diamond"]},
                "legend": None,
            },
            "color": {
                "field": "old",
                "type": "nominal",
                "scale": {
                    "domain": [False, True],
                    "range": [inks.line, inks.warning],
                },
                "legend": None,
            },
        },
    }


def _lines(ages: Ages, words: AgesWords, inks: charts.Inks) -> list[Any]:
    """Draw each percentile over the whole width, with its words at the right."""
    top = _top(ages)
    places = apart([days for _, days in ages.lines], top * LINE / HEIGHT)
    values = [
        {"days": days, "place": place, "text": words.of_100.format(pct=pct)}
        for (pct, days), place in zip(ages.lines, places, strict=True)
    ]
    at = {"type": "quantitative"}
    return [
        {
            "data": {"values": values},
            "mark": {"type": "rule", "color": inks.ink, "strokeDash": [6, 4]},
            "encoding": {
                "y": {"field": "days", **at},
                "x": {"value": 0},
                "x2": {"value": WIDTH},
            },
        },
        {
            "data": {"values": values},
            "mark": {"type": "text", "align": "left", "baseline": "middle"},
            "encoding": {
                "y": {"field": "place", **at},
                "x": {"value": WIDTH + 6},
                "text": {"field": "text"},
            },
        },
    ]


def _top(ages: Ages) -> float:
    """Give the days at the upper edge: some room above the oldest and the lines."""
    days = [one.age_days for one in ages.rows] + [days for _, days in ages.lines]
    return max([1.0, *days]) * 1.06
