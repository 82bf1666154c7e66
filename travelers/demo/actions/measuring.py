"""What does a hand measure and scan before it calls a step done?"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from zlib import crc32

from travelers.demo.actions.living import Floor
from travelers.demo.queries import Wood
from travelers.demo.rules.tasks import Task
from travelers.floor import queries as on_floor
from travelers.floor.rules.facts import due
from travelers.lumber.actions import weigh_pieces
from travelers.routes.rules import Check, Joins
from travelers.shop.models import Gauge

# Of all steps with checks, so many read out of tolerance at first.
OUT_OF_TOLERANCE = 0.018
# Weighed as sawn, a piece has lost a little to the air of the yard.
AIR_DRIED = 0.985
PIECE_MASS = "BODY_PIECE_MASS"
# Gauges that are carried about, and how often another than the station's is at hand.
CARRIED = {"moisture_meter": 0.12}


@dataclass(frozen=True, slots=True)
class Measured:
    """The readings of a step, and the checks of it that are out of tolerance."""

    readings: list[dict[str, Any]]
    out: tuple[Check, ...]


def measure(floor: Floor, task: Task) -> Measured:
    """Read every check that is due; now and then one is out of tolerance."""
    bench = floor.benches[task.instrument_id]
    checks = due(task.line, bench.position)
    out: tuple[Check, ...] = ()
    if checks and floor.chances.happens("out of tolerance", OUT_OF_TOLERANCE):
        out = (floor.chances.one_of("out of tolerance", checks),)
    readings = []
    for check in checks:
        values = floor.readings.of(check, _middle(floor, task, check))
        if check in out:
            values = floor.readings.outside(check, values)
        if check.code == PIECE_MASS:
            _weigh(floor.wood_of(task), values)
        readings += _rows(floor, task, check, values)
    return Measured(readings, out)


def measure_again(floor: Floor, task: Task, out: tuple[Check, ...]) -> Measured:
    return Measured(
        [
            row
            for check in out
            for row in _rows(floor, task, check, floor.readings.of(check))
        ],
        (),
    )


def mates(floor: Floor, task: Task) -> list[str]:
    """List the tags and labels that a join wants scanned."""
    if task.line.joins is Joins.NOTHING:
        return []
    bench = floor.benches[task.instrument_id]
    return list(on_floor.mates_of(bench=bench, step=task.step))


def _rows(
    floor: Floor, task: Task, check: Check, values: list[Decimal]
) -> list[dict[str, Any]]:
    gauge = _gauge_at(floor, task.station, check.gauge_kind)
    return [
        {
            "check": check.id,
            "place": place,
            "value": str(value),
            "gauge": gauge,
        }
        for place, value in enumerate(values, start=1)
    ]


def _gauge_at(floor: Floor, station: str, kind: str) -> int | None:
    """Give the gauge that lies at a station, or of some kinds now and then another."""
    if not kind:
        return None
    if kind in CARRIED and floor.chances.happens("carried", CARRIED[kind]):
        return spare_gauge(floor, station, kind).pk
    return _own_gauge(floor, station, kind, 0).pk


def spare_gauge(floor: Floor, station: str, kind: str) -> Gauge:
    """Give the gauge that is used at a station when its own is not at hand."""
    return _own_gauge(floor, station, kind, 1)


def _own_gauge(floor: Floor, station: str, kind: str, after: int) -> Gauge:
    gauges = floor.shop.gauges[kind]
    return gauges[(crc32(station.encode()) + after) % len(gauges)]


def _middle(floor: Floor, task: Task, check: Check) -> float | None:
    """Say what the scale will show, where the plank's mass already tells."""
    wood = floor.wood_of(task)
    if check.code != PIECE_MASS or wood is None:
        return None
    return wood.piece_mass_g * AIR_DRIED


def _weigh(wood: Wood | None, values: list[Decimal]) -> None:
    if wood is not None:
        weigh_pieces(
            plank_set_id=wood.plank_set_id,
            masses_g=dict(zip(wood.piece_ids, map(int, values), strict=True)),
        )
