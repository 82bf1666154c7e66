"""How does a chart become a picture that a page may show?

Charts are described in Vega-Lite and drawn on the server: no script reaches the
browser, and a printed page shows the same. Colours are those of Okabe and Ito (2008),
which the colour-blind tell apart.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from django.utils.translation import get_language

from travelers.kit.refusals import NO_CHARTS, Refused

SCHEMA = "https://vega.github.io/schema/vega-lite/v5.json"
# How d3 calls the ways of writing months, by language.
LOCALES: Mapping[str, Literal["es-ES"]] = {"es": "es-ES"}
FONT = "Atkinson Hyperlegible Next, sans-serif"


@dataclass(frozen=True, slots=True)
class Inks:
    """The colours of a chart by day or by night."""

    paper: str
    ink: str
    line: str
    grid: str
    band: str
    warning: str
    second: str


DAY = Inks("#ffffff", "#1d1a17", "#0072b2", "#dcd6cd", "#56b4e9", "#b34400", "#00664c")
NIGHT = Inks(
    "#1d1a17", "#f3efe8", "#56b4e9", "#4a443d", "#0072b2", "#ff9a52", "#4fd1a9"
)


def svg(spec: Mapping[str, Any], *, inks: Inks) -> bytes:
    """Draw a Vega-Lite description in the house's type; nothing is fetched for it."""
    try:
        # Takes a tenth of a second to load, and most pages have no chart.
        import vl_convert
    except ImportError as missing:
        raise Refused(NO_CHARTS) from missing

    axis = {
        "labelColor": inks.ink,
        "titleColor": inks.ink,
        "gridColor": inks.grid,
        "domainColor": inks.ink,
        "tickColor": inks.ink,
        "labelFont": FONT,
        "titleFont": FONT,
        "labelFontSize": 14,
        "titleFontSize": 15,
        "titleFontWeight": "normal",
    }
    whole = {
        "$schema": SCHEMA,
        "background": inks.paper,
        **spec,
        "config": {
            "font": FONT,
            "view": {"stroke": None},
            "axis": axis,
            "title": {
                "anchor": "start",
                "color": inks.ink,
                "font": FONT,
                "fontSize": 16,
            },
            "text": {"color": inks.ink, "fontSize": 14, "font": FONT},
        },
    }
    drawn: str = vl_convert.vegalite_to_svg(
        whole,
        vl_version="5.20",
        allowed_base_urls=[],
        time_format_locale=LOCALES.get(get_language() or "", "en-US"),
    )
    return drawn.encode()
