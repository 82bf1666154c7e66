"""What does the air of a room look like over weeks?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from travelers.formulas.wood import equilibrium_moistures_pct
from travelers.kit import charts
from travelers.lumber.queries import Course

# A chart is about a thousand dots wide: finer than this nobody sees.
BUCKETS = 480
WIDTH, HIGH, LOW = 940, 220, 110


@dataclass(frozen=True, slots=True)
class AirWords:
    """What stands at the chart, in the reader's language."""

    title: str
    equilibrium: str
    limit: str
    above: str
    temperature: str
    humidity: str


def air_chart(
    *, course: Course, limit_pct: float, zone: ZoneInfo, words: AirWords, dark: bool
) -> bytes:
    """Draw a room's equilibrium moisture over time, with its air beneath, as SVG.

    Each of at most 480 stretches of time shows its mean as a line and its lowest and
    highest as a band, so that no moment of damp air is lost by drawing less.
    """
    inks = charts.NIGHT if dark else charts.DAY
    rows = _rows(course, limit_pct, zone)
    panels = [
        _equilibrium(limit_pct, words, inks),
        _line("c", words.temperature, inks, last=False),
        _line("h", words.humidity, inks, last=True),
    ]
    spec = {
        "description": words.title,
        "data": {"values": rows},
        "spacing": 14,
        "vconcat": panels,
    }
    return charts.svg(spec, inks=inks)


def _equilibrium(limit_pct: float, words: AirWords, inks: charts.Inks) -> Any:
    y = {"type": "quantitative", "title": words.equilibrium}
    scale = {"zero": False, "nice": True}
    return {
        "width": WIDTH,
        "height": HIGH,
        "encoding": {"x": _time(last=False)},
        "layer": [
            {
                "mark": {"type": "area", "color": inks.band, "opacity": 0.45},
                "encoding": {
                    "y": {"field": "low", "scale": scale, **y},
                    "y2": {"field": "high"},
                },
            },
            {
                "mark": {"type": "line", "color": inks.line, "strokeWidth": 2},
                "encoding": {"y": {"field": "mean", **y}},
            },
            *_limit(limit_pct, words, inks),
        ],
    }


def _limit(limit_pct: float, words: AirWords, inks: charts.Inks) -> list[Any]:
    """Draw the limit, and where the air was above it."""
    return [
        {
            "data": {"values": [{}]},
            "mark": {"type": "rule", "color": inks.ink, "strokeDash": [7, 4]},
            "encoding": {
                "x": {"value": 0},
                "x2": {"value": WIDTH},
                "y": {"datum": limit_pct},
            },
        },
        {
            "data": {"values": [{}]},
            "mark": {"type": "text", "align": "right", "dx": -4, "dy": -8},
            "encoding": {
                "x": {"value": WIDTH},
                "y": {"datum": limit_pct},
                "text": {"value": words.limit},
            },
        },
        # A bar along the upper edge, with its word: not told by colour alone.
        {
            "transform": [{"filter": "datum.above"}],
            "mark": {"type": "rect", "color": inks.warning},
            "encoding": {
                "x2": {"field": "until"},
                "y": {"value": 0},
                "y2": {"value": 8},
            },
        },
        {
            "transform": [
                {"filter": "datum.above"},
                {
                    "window": [{"op": "row_number", "as": "n"}],
                    "sort": [{"field": "t"}],
                },
                {"filter": "datum.n == 1"},
            ],
            "mark": {"type": "text", "align": "left", "color": inks.warning},
            "encoding": {"y": {"value": 20}, "text": {"value": words.above}},
        },
    ]


def _line(field: str, title: str, inks: charts.Inks, *, last: bool) -> Any:
    return {
        "width": WIDTH,
        "height": LOW,
        "mark": {"type": "line", "color": inks.second, "strokeWidth": 2},
        "encoding": {
            "x": _time(last=last),
            "y": {
                "field": field,
                "type": "quantitative",
                "title": title,
                "scale": {"zero": False},
            },
        },
    }


def _time(*, last: bool) -> Any:
    axis: dict[str, Any] = {"grid": True, "labelOverlap": True}
    if not last:
        axis |= {"labels": False, "ticks": False}
    return {
        "field": "t",
        "type": "temporal",
        "title": None,
        "scale": {"type": "utc"},
        "axis": {**axis, "format": "%-d %b"},
    }


def _rows(course: Course, limit_pct: float, zone: ZoneInfo) -> Sequence[Any]:
    """Gather the readings in stretches of time; an empty stretch breaks the line."""
    import numpy as np

    if not course.at:
        return []
    # The zone's clock is drawn as if it were UTC's, which the drawing knows alone.
    shift = _offset_s(course.at[-1], zone)
    at = np.array([one.timestamp() for one in course.at])
    temperature = np.array(course.temperature_c)
    humidity = np.array(course.humidity_pct)
    equilibrium = np.asarray(equilibrium_moistures_pct(temperature, humidity))
    step = max((at[-1] - at[0]) / BUCKETS, 1.0)
    place = np.minimum(((at - at[0]) / step).astype(int), BUCKETS - 1)
    begins = np.flatnonzero(np.r_[True, np.diff(place) > 0])
    count = np.diff(np.r_[begins, len(at)])
    mean = np.add.reduceat(equilibrium, begins) / count
    low = np.minimum.reduceat(equilibrium, begins)
    high = np.maximum.reduceat(equilibrium, begins)
    warm = np.add.reduceat(temperature, begins) / count
    damp = np.add.reduceat(humidity, begins) / count
    # Readings usually come further apart than a stretch is wide.
    usual = float(np.median(np.diff(at))) if len(at) > 1 else step
    gap = max(step, usual) * 6
    until = np.minimum(np.r_[at[begins[1:]], at[-1] + usual], at[begins] + gap)
    rows: list[dict[str, Any]] = []
    for index, begin in enumerate(begins):
        if index and at[begin] - at[begin - 1] > gap:
            rows.append({"t": (at[begin - 1] + shift + 1) * 1000})
        rows.append(
            {
                "t": (at[begin] + shift) * 1000,
                "until": (until[index] + shift) * 1000,
                "low": round(float(low[index]), 3),
                "mean": round(float(mean[index]), 3),
                "high": round(float(high[index]), 3),
                "c": round(float(warm[index]), 2),
                "h": round(float(damp[index]), 2),
                "above": bool(mean[index] >= limit_pct),
            }
        )
    return rows


def _offset_s(at: datetime, zone: ZoneInfo) -> float:
    offset = at.astimezone(zone).utcoffset()
    return offset.total_seconds() if offset else 0.0
