"""When is each order released and finished, as a picture?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from travelers.kit import charts
from travelers.planning.queries.release import ReleaseRow

WIDTH, ROW = 820, 34


@dataclass(frozen=True, slots=True)
class StartsWords:
    """What stands at the chart, in the reader's language."""

    title: str
    latest: str
    release: str
    due: str
    today: str


def starts_chart(
    *, rows: Sequence[ReleaseRow], today: date, words: StartsWords, dark: bool
) -> bytes:
    """Draw a row for each order that has a day, as SVG.

    Shapes tell what is what, so that it can be read without colours: a broad bar from
    the release to the half of the futures, a thin one on to 95 of 100 with a stroke at
    80, and marks for the latest start, the release and the due day.
    """
    inks = charts.NIGHT if dark else charts.DAY
    bars = [one for row in rows if (one := _bar(row))]
    spec = {
        "title": words.title,
        "description": words.title,
        "width": WIDTH,
        "height": ROW * max(1, len(bars)),
        "padding": {"top": 8, "left": 8, "right": 20, "bottom": 8},
        "layer": [
            *_today(today, words.today, inks),
            *_bars(bars, inks),
            _marks(rows, words, inks),
        ],
    }
    return charts.svg(spec, inks=inks)


def _name(row: ReleaseRow) -> str:
    return f"{row.number} ({row.quantity})"


def _bar(row: ReleaseRow) -> dict[str, str] | None:
    plan = row.plan
    if plan is None or plan.release_on is None or plan.by is None:
        return None
    half, usual, sure = (_at(day) for day in plan.by)
    return {
        "order": _name(row),
        "release": _at(plan.release_on),
        "half": half,
        "usual": usual,
        "sure": sure,
    }


def _at(day: date) -> str:
    return f"{day.isoformat()}T00:00:00"


def _y(*, named: bool) -> dict[str, Any]:
    axis = {"labelLimit": 240, "ticks": False, "domain": False, "labelPadding": 8}
    y = {"field": "order", "type": "nominal", "sort": None, "title": None}
    return {**y, "axis": axis} if named else y


def _x(field: str) -> dict[str, Any]:
    axis = {"format": "%-d %b %Y", "labelOverlap": True, "tickCount": 8}
    x = {"field": field, "type": "temporal", "title": None, "axis": axis}
    return {**x, "scale": {"padding": 14}}


def _bars(bars: Sequence[dict[str, str]], inks: charts.Inks) -> list[Any]:
    """Draw from the release to the half of the futures, and on to 95 of 100."""
    told = {"values": list(bars)}
    edge = {"stroke": inks.line, "strokeWidth": 1}
    return [
        {
            "data": told,
            "mark": {"type": "bar", "height": 15, "color": inks.band, **edge},
            "encoding": {
                "y": _y(named=True),
                "x": _x("release"),
                "x2": {"field": "half"},
            },
        },
        {
            "data": told,
            "mark": {"type": "bar", "height": 5, "color": inks.line},
            "encoding": {
                "y": _y(named=False),
                "x": _x("half"),
                "x2": {"field": "sure"},
            },
        },
        {
            "data": told,
            "mark": {
                "type": "tick",
                "size": 18,
                "thickness": 3,
                "color": inks.ink,
                "opacity": 1,
            },
            "encoding": {"y": _y(named=False), "x": _x("usual")},
        },
    ]


def _marks(
    rows: Sequence[ReleaseRow], words: StartsWords, inks: charts.Inks
) -> dict[str, Any]:
    """Mark the latest start, the release and the due day, each by its shape."""
    names = (words.latest, words.release, words.due)
    told = [
        {"order": _name(row), "day": _at(day), "what": name}
        for row in rows
        if (plan := row.plan) and plan.release_on
        for day, name in zip(
            (plan.latest_on, plan.release_on, row.due_on), names, strict=True
        )
    ]
    legend = {
        "orient": "top",
        "title": None,
        "labelFontSize": 14,
        "labelColor": inks.ink,
        "symbolSize": 160,
        "columnPadding": 28,
        "offset": 22,
    }

    def by_name(*told: str) -> dict[str, Any]:
        scale = {"domain": list(names), "range": list(told)}
        return {"field": "what", "type": "nominal", "scale": scale}

    shapes = by_name("triangle-right", "circle", "diamond")
    return {
        "data": {"values": told},
        "mark": {"type": "point", "size": 170, "strokeWidth": 2, "opacity": 1},
        "encoding": {
            "y": _y(named=False),
            "x": _x("day"),
            "shape": {**shapes, "legend": legend},
            "stroke": by_name(inks.ink, inks.ink, inks.ink),
            "fill": by_name(inks.paper, inks.ink, inks.warning),
        },
    }


def _today(today: date, word: str, inks: charts.Inks) -> list[Any]:
    once = {"values": [{"day": _at(today)}]}
    return [
        {
            "data": once,
            "mark": {"type": "rule", "color": inks.ink, "strokeDash": [3, 4]},
            "encoding": {"x": _x("day")},
        },
        {
            "data": once,
            "mark": {"type": "text", "baseline": "bottom", "dy": -4, "align": "left"},
            "encoding": {
                "x": _x("day"),
                "y": {"value": 0},
                "text": {"value": word},
            },
        },
    ]
