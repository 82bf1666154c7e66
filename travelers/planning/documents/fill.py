"""How full will the floor and the drying rooms be, week by week, as a picture?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.kit import charts
from travelers.planning.queries.release.page import Filled, WeekRow

WIDTH, HEIGHT = 820, 110


@dataclass(frozen=True, slots=True)
class FillWords:
    """What stands at the chart; ``room`` names {room}, limit and places their {n}."""

    title: str
    in_work: str
    room: str
    limit: str
    places: str


def fill_chart(
    *,
    weeks: Sequence[WeekRow],
    rooms: Sequence[tuple[str, int]],
    most: int | None,
    words: FillWords,
    dark: bool,
) -> bytes:
    """Draw a panel for the floor and one for each room, with its limit, as SVG."""
    inks = charts.NIGHT if dark else charts.DAY
    panels = [
        _panel(
            [(week, week.in_work) for week in weeks],
            words.in_work,
            (most, words.limit),
            inks,
        )
    ]
    for place, (room, places) in enumerate(rooms):
        filled = [(week, week.rooms[place]) for week in weeks]
        title = words.room.format(room=room)
        panels.append(_panel(filled, title, (places, words.places), inks))
    spec = {
        "description": words.title,
        "title": words.title,
        "vconcat": panels,
        "spacing": 22,
        "padding": {"top": 8, "left": 8, "right": 20, "bottom": 8},
    }
    return charts.svg(spec, inks=inks)


def _panel(
    filled: Sequence[tuple[WeekRow, Filled]],
    title: str,
    limit: tuple[int | None, str],
    inks: charts.Inks,
) -> dict[str, Any]:
    """Draw what is likely as a line, and up to what is sure as a band above it."""
    most, word = limit
    rows = [
        {
            "t": f"{week.day.isoformat()}T00:00:00",
            "likely": one.likely,
            "most": one.most,
        }
        for week, one in filled
    ]
    top = max([most or 1, *(one.most for _, one in filled)])
    y = {
        "type": "quantitative",
        "title": None,
        "scale": {"domain": [0, top], "nice": True},
        "axis": {"tickCount": 4},
    }
    x = {
        "field": "t",
        "type": "temporal",
        "title": None,
        "axis": {"format": "%-d %b", "grid": False, "labelOverlap": True},
    }
    return {
        "title": {"text": title, "fontSize": 14, "fontWeight": "normal"},
        "data": {"values": rows},
        "width": WIDTH,
        "height": HEIGHT,
        "layer": [
            {
                "mark": {"type": "area", "color": inks.band, "opacity": 0.45},
                "encoding": {
                    "x": x,
                    "y": {"field": "likely", **y},
                    "y2": {"field": "most"},
                },
            },
            {
                "mark": {"type": "line", "color": inks.line, "strokeWidth": 3},
                "encoding": {"x": x, "y": {"field": "likely", **y}},
            },
            *([] if most is None else _limit(most, word.format(n=most), inks)),
        ],
    }


def _limit(most: int, said: str, inks: charts.Inks) -> list[Any]:
    """Draw how much there may be, with the number in words."""
    once: dict[str, Any] = {"values": [{}]}
    at = {"y": {"datum": most}}
    return [
        {
            "data": once,
            "mark": {"type": "rule", "color": inks.warning, "strokeDash": [6, 4]},
            "encoding": at,
        },
        {
            "data": once,
            "mark": {
                "type": "text",
                "align": "right",
                "baseline": "top",
                "dy": 4,
                "color": inks.warning,
            },
            "encoding": {**at, "x": {"value": WIDTH}, "text": {"value": said}},
        },
    ]
