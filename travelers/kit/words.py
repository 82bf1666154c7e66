"""What does a refusal say in the reader's language and time zone?"""

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta

from django.utils import formats, timezone
from django.utils.translation import gettext, ngettext

from travelers.kit.refusals import Refusal, gettext_noop

_VALUES = ("value", "likely", "limit", "last", "least", "most", "wet", "dry")
_DECIMAL = re.compile(r"-?\d+\.\d+")


def sentence_of(refusal: Refusal) -> str:
    return gettext(refusal.sentence).format_map(_shown(refusal.words))


def remedy_of(refusal: Refusal) -> str:
    return gettext(refusal.remedy).format_map(_shown(refusal.words))


def moment(at: datetime) -> str:
    """Say a moment as a person at a bench would: day, month and clock."""
    return formats.date_format(timezone.localtime(at), "j M Y, H:i")


def span(length: timedelta) -> str:
    """Say a length of time in its two largest units: 3 d 4 h, 5 h 10 min."""
    minutes = max(0, round(length.total_seconds() / 60))
    days, rest = divmod(minutes, 24 * 60)
    hours, minutes = divmod(rest, 60)
    if days:
        return gettext("{days} d {hours} h").format(days=days, hours=hours)
    if hours:
        return gettext("{hours} h {minutes} min").format(hours=hours, minutes=minutes)
    return ngettext("{n} min", "{n} min", minutes).format(n=minutes)


def span_words() -> Mapping[str, str]:
    """Give the words of a length by its larger unit, for a page that says it on."""
    return {
        "days": gettext("{days} d {hours} h"),
        "hours": gettext("{hours} h {minutes} min"),
        "minutes": ngettext("{n} min", "{n} min", 2),
    }


def _shown(words: Mapping[str, str]) -> dict[str, str]:
    return {name: _say(name, word) for name, word in words.items()}


def _say(name: str, word: str) -> str:
    """Say one word: ``…_at`` is a moment, ``day`` and ``due`` are days.

    A value gets the reader's decimal mark; what was typed stays as it was typed.
    ``…_word`` is one of a closed list; ``…_words`` are several, some of a closed list
    and some not: NECK and a code.
    """
    if name.endswith("_at") and word:
        return moment(datetime.fromisoformat(word))
    if name in ("day", "due") and word:
        return formats.date_format(date.fromisoformat(word), "j M Y")
    if name in _VALUES and _DECIMAL.fullmatch(word):
        return word.replace(".", formats.get_format("DECIMAL_SEPARATOR"))
    if name.endswith("_words"):
        return " ".join(label(one) for one in word.split(" "))
    return label(word) if name.endswith("_word") else word


def label(word: str) -> str:
    """Say a member of a closed list: RUNNING, TAKE_OUT, BODY."""
    return gettext(LABELS.get(word, word))


# One place for the words of every closed list, as they are said at a bench.
LABELS = {
    "SCREEN": gettext_noop("at a screen"),
    "PAPER": gettext_noop("from paper"),
    "NOT_WRITTEN": gettext_noop("its begin stands on no paper"),
    "FIRST": gettext_noop("the first"),
    "SECOND": gettext_noop("the second"),
    "BODY": gettext_noop("body"),
    "NECK": gettext_noop("neck"),
    "ELECTRONICS": gettext_noop("electronics"),
    "ASSEMBLY": gettext_noop("assembly"),
    "PART": gettext_noop("part"),
    "PIECE": gettext_noop("piece"),
    "PLANK_SET": gettext_noop("plank set"),
    "PLANK": gettext_noop("plank"),
    "STATION": gettext_noop("station"),
    "GAUGE": gettext_noop("gauge"),
    "BATCH": gettext_noop("batch"),
    "SERIAL": gettext_noop("serial number"),
    "CUTTER": gettext_noop("cutter"),
    "DELIVERY": gettext_noop("delivery"),
    "INSTRUMENT": gettext_noop("instrument"),
    "INSTRUMENTS": gettext_noop("Instruments"),
    "ORDERS": gettext_noop("Orders"),
    "PARTS": gettext_noop("Parts"),
    "PLANK_SETS": gettext_noop("Plank sets"),
    "PIECES": gettext_noop("Pieces"),
    "PLANKS": gettext_noop("Planks"),
    "DELIVERIES": gettext_noop("Deliveries"),
    "BATCHES": gettext_noop("Batches"),
    "SERIALS": gettext_noop("Serial numbers of bought parts"),
    "CUTTERS": gettext_noop("Cutters"),
    "GAUGES": gettext_noop("Gauges"),
    "STATIONS": gettext_noop("Stations"),
    "DEFECTS": gettext_noop("Defects"),
    "LOADS": gettext_noop("Drying and curing loads"),
    "LIMITS": gettext_noop("limits alone"),
    "WESTERN_ELECTRIC": gettext_noop("limits and three run rules"),
    "NELSON": gettext_noop("limits and seven run rules"),
    "individuals": gettext_noop("value by value"),
    "means": gettext_noop("mean of the places, part by part"),
    "mean_range": gettext_noop("mean of the places, by their range"),
    "mean_deviation": gettext_noop("mean of the places, by their deviation"),
    "counts": gettext_noop("counts"),
    "proportion": gettext_noop("share judged not right, by weeks"),
    "ewma": gettext_noop("weighted moving average"),
    "gauge": gettext_noop("gauge"),
    "cutter": gettext_noop("cutter"),
    "species": gettext_noop("species"),
    "station": gettext_noop("station"),
    "WEEK": gettext_noop("week"),
    "REVISION": gettext_noop("revision of the route"),
    "GAUGE_GOOD": gettext_noop("the gauge is good for this tolerance"),
    "GAUGE_MAY_DO": gettext_noop("the gauge may do for this tolerance"),
    "GAUGE_UNFIT": gettext_noop("the gauge cannot judge this tolerance"),
    "STATION_DAY": gettext_noop("station and day"),
    "WAITING": gettext_noop("waiting"),
    "READY": gettext_noop("ready"),
    "RUNNING": gettext_noop("in work"),
    "IN_WORK": gettext_noop("in work"),
    "DWELLING": gettext_noop("drying or curing"),
    "DONE": gettext_noop("done"),
    "VOID": gettext_noop("dropped"),
    "HELD": gettext_noop("held"),
    "SCRAPPED": gettext_noop("scrapped"),
    "OPEN": gettext_noop("on the floor"),
    "FINISHED": gettext_noop("finished"),
    "WOOD_DRY": gettext_noop("wood dry"),
    "GLUED": gettext_noop("glued"),
    "CURED": gettext_noop("finish cured"),
    "ASSEMBLED": gettext_noop("assembled"),
    "TESTED": gettext_noop("tested"),
    "WORK": gettext_noop("work"),
    "HOLD": gettext_noop("hold"),
    "INSPECT": gettext_noop("inspect"),
    "JOIN": gettext_noop("join"),
    "START": gettext_noop("start"),
    "FINISH": gettext_noop("done"),
    "LOAD": gettext_noop("load"),
    "TAKE_OUT": gettext_noop("take out"),
    "READ": gettext_noop("reading"),
    "MATE": gettext_noop("mate scanned"),
    "USE": gettext_noop("serial number scanned"),
    "DEFECT": gettext_noop("defect"),
    "LIFT": gettext_noop("hold lifted"),
    "ALLOW": gettext_noop("let pass"),
    "ASK": gettext_noop("lead asked"),
    "DECLINE": gettext_noop("not let pass"),
    "UNDO": gettext_noop("undo"),
    "REWORK": gettext_noop("rework"),
    "SCRAP": gettext_noop("scrap"),
    "SWAP": gettext_noop("part swapped"),
    "REPLACE": gettext_noop("part scrapped, made anew"),
    "WOOD": gettext_noop("wood allotted"),
    "USE_AS_IS": gettext_noop("use as is"),
    "DOWNGRADE": gettext_noop("downgrade"),
    "MINOR": gettext_noop("minor"),
    "MAJOR": gettext_noop("major"),
    "STOP": gettext_noop("stop"),
    "DRAFT": gettext_noop("draft"),
    "RELEASED": gettext_noop("released"),
    "RETIRED": gettext_noop("retired"),
    "REFUSE": gettext_noop("refuse the reading"),
    "MARK": gettext_noop("take it and mark it"),
    "INSIDE": gettext_noop("inside"),
    "LOW": gettext_noop("too low"),
    "HIGH": gettext_noop("too high"),
    "MEASURED": gettext_noop("measured"),
    "COUNTED": gettext_noop("counted"),
    "JUDGED": gettext_noop("judged"),
    "YES": gettext_noop("yes"),
    "NO": gettext_noop("no"),
    "OK": gettext_noop("enter"),
    "CLEAR": gettext_noop("clear"),
    "NEXT": gettext_noop("next"),
    "LIST": gettext_noop("list"),
    "POINT": gettext_noop("decimal point"),
    "MINUS": gettext_noop("sign"),
    **{f"DIGIT_{digit}": str(digit) for digit in range(10)},
    "REASON_WOOD": gettext_noop("crack, knot or resin in the wood"),
    "REASON_SIZE": gettext_noop("a size is wrong"),
    "REASON_SURFACE": gettext_noop("the surface is damaged"),
    "REASON_PART": gettext_noop("a part is missing or mixed up"),
    "REASON_MACHINE": gettext_noop("machine or tool is out of order"),
    "REASON_ASK": gettext_noop("the lead shall look at it"),
    "mass_in_kg": gettext_noop("Is the mass in grams, or in kilograms?"),
    "mass_in_lb": gettext_noop("Is the mass in grams, or in pounds?"),
    "length_in_cm": gettext_noop("Is the length in millimetres, or in centimetres?"),
    "length_in_m": gettext_noop("Is the length in millimetres, or in metres?"),
    "width_in_cm": gettext_noop("Is the width in millimetres, or in centimetres?"),
    "thickness_in_cm": gettext_noop(
        "Is the thickness in millimetres, or in centimetres?"
    ),
    "thickness_in_inches": gettext_noop(
        "Is the thickness in millimetres, or in inches?"
    ),
    "all_in_cm": gettext_noop("Are the sizes in millimetres, or in centimetres?"),
    "all_in_inches": gettext_noop("Are the sizes in millimetres, or in inches?"),
    "no_slip": gettext_noop("Are the sizes and the mass of the same plank?"),
    "operator": gettext_noop("operator"),
    "lead": gettext_noop("lead"),
    "planner": gettext_noop("planner"),
    "qa": gettext_noop("QA"),
    "route_engineer": gettext_noop("route engineer"),
    "admin": gettext_noop("admin"),
}
