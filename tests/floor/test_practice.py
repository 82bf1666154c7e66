"""Does a route with the figures that builders work by hold together?

Every figure here is common practice, no source.  The demo shop has its own.
"""

from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any

import networkx
import pytest

from tests import make
from travelers.orders.models import Instrument, Step
from travelers.routes.actions import release_revision
from travelers.routes.models import (
    Characteristic,
    InstrumentModel,
    Operation,
    Precedence,
    Revision,
    WoodNeed,
)
from travelers.routes.queries import read_route

pytestmark = pytest.mark.django_db

HOUR, DAY = 3600, 86400
DRYING_S = 61 * DAY  # about two months; common practice, no source
CURE_S = 42 * DAY  # six weeks; common practice, no source
CLAMPED_S = 3 * HOUR  # in the clamps; common practice, no source
COATS = 22  # of stain and lacquer at the most; common practice, no source
BETWEEN_COATS_S = 4 * HOUR
FRETS = 22  # blades of the gang saw as well; common practice, no source
BOLTS = 4  # at the neck joint; common practice, no source
TUNERS = 6  # common practice, no source
LEAD_DAYS = 164  # 61 + 61 + 42, the longest path cannot be shorter


@dataclass(frozen=True)
class Line:
    branch: str
    number: int
    name: str
    station: str
    kind: str = "WORK"
    planned_s: int = 0
    more: dict[str, Any] = field(default_factory=dict)
    check: dict[str, Any] | None = None


def measured(code: str, unit: str, nominal: str, **limits: str) -> dict[str, Any]:
    values = {name: Decimal(value) for name, value in limits.items()}
    values["nominal"] = Decimal(nominal)
    return {"code": code, "name": code, "kind": "MEASURED", "unit": unit, **values}


def counted(code: str, number: int) -> dict[str, Any]:
    # Exactly so many: one less is below the lower limit, one more above the upper.
    half = Decimal("0.5")
    limits = {"nominal": number, "lower": number - half, "upper": number + half}
    return {"code": code, "name": code, "kind": "COUNTED", **limits}


PIECES, BRANCHES = {"joins": "PIECES"}, {"joins": "BRANCHES"}
LIES_CLAMPED = {"shortest_dwell_s": CLAMPED_S}
ROUTE = (
    # Planed to a rough thickness of 50 to 100 mm; common practice, no source.
    Line("BODY", 10, "Saw and plane", "SAW", planned_s=1200,
         check=measured("ROUGH", "mm", "75", lower="50", upper="100")),
    # Below 6 % moisture; common practice, no source.
    Line("BODY", 20, "Dry", "ROOM", "HOLD", more={"shortest_dwell_s": DRYING_S},
         check=measured("MOISTURE", "%", "5.5", upper="6")),
    Line("BODY", 30, "Glue", "CLAMPS", "JOIN", 900, more=PIECES | LIES_CLAMPED),
    # The glue wets the wood again; common practice, no source.
    Line("BODY", 40, "Dry again", "ROOM", "HOLD", more={"shortest_dwell_s": DRYING_S},
         check=measured("MOISTURE", "%", "5.5", upper="6")),
    Line("BODY", 50, "Machine", "CUTTER", planned_s=1500),
    # The edge is cut back at 45 degrees; common practice, no source.
    Line("BODY", 60, "Edge", "CUTTER", planned_s=600,
         check=measured("EDGE", "°", "45", lower="44", upper="46")),
    Line("BODY", 70, "Inserts", "CUTTER", planned_s=300,
         check=counted("INSERTS", BOLTS)),
    # Ink that cures under UV in seconds; common practice, no source.
    Line("BODY", 80, "Print", "BOOTH", planned_s=120),
    Line("BODY", 90, "Coat", "BOOTH", planned_s=300,
         more={"times": COATS, "shortest_between_s": BETWEEN_COATS_S}),
    Line("BODY", 100, "Cure", "RACK", "HOLD", more={"shortest_dwell_s": CURE_S}),
    Line("BODY", 110, "Buff", "BOOTH", planned_s=3600),
    # A veneer of 1.27 mm in the middle; common practice, no source.
    Line("NECK", 10, "Veneer", "CLAMPS", planned_s=900, more=LIES_CLAMPED,
         check=measured("VENEER", "mm", "1.27", lower="1.20", upper="1.34")),
    Line("NECK", 20, "Fingerboard", "CLAMPS", planned_s=900, more=LIES_CLAMPED),
    Line("NECK", 30, "Shape", "CUTTER", planned_s=1200),
    Line("NECK", 40, "Slots", "FRETS", planned_s=120, check=counted("SLOTS", FRETS)),
    Line("NECK", 50, "Frets", "FRETS", planned_s=1800, check=counted("FRETS", FRETS)),
    # Straightened until the relief gauge reads zero; common practice, no source.
    Line("NECK", 60, "Relief", "FRETS", planned_s=600,
         check=measured("RELIEF", "mm", "0", lower="-0.05", upper="0.05")),
    Line("NECK", 70, "Tuners", "BENCH", planned_s=900, check=counted("TUNERS", TUNERS)),
    Line("ELECTRONICS", 10, "Solder", "BENCH", planned_s=2400),
    Line("ASSEMBLY", 10, "Neck joint", "BENCH", "JOIN", 600, more=BRANCHES,
         check=counted("BOLTS", BOLTS)),
    Line("ASSEMBLY", 20, "Harness", "BENCH", "JOIN", 1800, more=BRANCHES),
    Line("ASSEMBLY", 30, "Set up", "BENCH", planned_s=3600),
    Line("ASSEMBLY", 40, "Test play", "BENCH", "INSPECT", 1200),
)  # fmt: skip
WAITS = (
    (("BODY", 110), ("ASSEMBLY", 10)),
    (("NECK", 70), ("ASSEMBLY", 10)),
    (("ELECTRONICS", 10), ("ASSEMBLY", 20)),
)


@pytest.fixture
def shop() -> make.Shop:
    """Give a shop that builds by common practice."""
    shop = make.shop()
    model = InstrumentModel.objects.create(
        code="PRACTICE", name="By practice", shape="solid", serial_prefix="Z",
        scale_mm=Decimal(640), strings=6, frets=FRETS,
    )  # fmt: skip
    for need in WoodNeed.objects.filter(model=shop.model):
        need.pk, need.model = None, model
        need.save(force_insert=True)
    shop.model = model
    shop.revision = written(shop)
    release_revision(
        revision_id=shop.revision.pk, by=shop.cast.engineer, at=make.MORNING
    )
    return shop


def written(shop: make.Shop) -> Revision:
    revision = Revision.objects.create(model=shop.model, number="A")
    rows = {}
    for line in ROUTE:
        place = shop.cast.stations[line.station]
        row = Operation.objects.create(
            revision=revision,
            branch=line.branch,
            number=line.number,
            name=line.name,
            station=place,
            stage=place.stage,
            kind=line.kind,
            planned_s=line.planned_s,
            **line.more,
        )
        rows[line.branch, line.number] = row
        if line.check:
            Characteristic.objects.create(operation=row, **line.check)
    for before, after in WAITS:
        Precedence.objects.create(before=rows[before], after=rows[after])
    return revision


def least_s(line: Line) -> int:
    """Say the least time from a line's first start to its last end."""
    times = line.more.get("times", 1)
    once = line.planned_s + line.more.get("shortest_dwell_s", 0)
    between = line.more.get("shortest_between_s", 0)
    return int(once * times + between * (times - 1))


def longest_by_networkx() -> timedelta:
    """Find the longest path with another library, from the figures above alone."""
    graph: networkx.DiGraph[Any] = networkx.DiGraph()
    keys = [(line.branch, line.number) for line in ROUTE]
    weights = dict(zip(keys, map(least_s, ROUTE), strict=True))
    within = [pair for pair in pairwise(keys) if pair[0][0] == pair[1][0]]
    for before, after in (*within, *WAITS):
        graph.add_edge(before, after, weight=weights[after])
    for key in keys:
        graph.add_edge("plank", key, weight=weights[key])
    return timedelta(seconds=networkx.dag_longest_path_length(graph))


def test_the_longest_path_takes_at_least_164_days(shop: make.Shop) -> None:
    """A promise below that cannot be kept, however few orders there are."""
    assert (DRYING_S + DRYING_S + CURE_S) / DAY == LEAD_DAYS
    lead = read_route(revision_id=shop.revision.pk).shortest_lead()
    assert lead >= timedelta(days=LEAD_DAYS)
    assert lead == longest_by_networkx()
    # By hand: both dryings and the cure, three hours in the clamps, 21 gaps of four
    # hours, and the seconds of work of body and assembly.
    work_s = 1200 + 900 + 1500 + 600 + 300 + 120 + 22 * 300 + 3600
    work_s += 600 + 1800 + 3600 + 1200
    assert lead == timedelta(days=LEAD_DAYS, hours=3 + 21 * 4, seconds=work_s)


def test_an_order_by_practice_becomes_that_many_steps(shop: make.Shop) -> None:
    make.Finish.objects.create(model=shop.model, name="Tide Green")
    instrument = shop.instrument()
    steps = Step.objects.filter(instrument=instrument)
    assert steps.filter(operation__name="Coat").count() == COATS
    assert steps.count() == len(ROUTE) + COATS - 1


def test_an_instrument_by_practice_takes_that_long(shop: make.Shop) -> None:
    """Worked through by the book, gate after gate, from release to test play."""
    instrument = shop.instrument()
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    done = Instrument.objects.get(pk=instrument.pk)
    assert done.state == "FINISHED"
    assert done.closed_at
    assert done.closed_at - done.released_at >= timedelta(days=LEAD_DAYS)
