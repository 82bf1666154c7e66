"""What has this shop decided for itself, and which gauges does it have?"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from travelers.shop.models import Gauge, HouseRules
from travelers.shop.rules import WORKSHOP_C, WORKSHOP_PCT, OverdueGauges


@dataclass(frozen=True, slots=True)
class GaugeRow:
    id: int
    name: str
    tag: str
    kind: str
    unit: str
    due_on: date
    overdue: bool

    @property
    def kind_words(self) -> str:
        return self.kind.replace("_", " ")


def overdue_gauges() -> OverdueGauges:
    """Say what becomes of a reading whose gauge is out of calibration."""
    said = HouseRules.objects.values_list("overdue_gauges", flat=True).first()
    return OverdueGauges(said or OverdueGauges.REFUSE)


def workshop_air() -> tuple[Decimal, Decimal]:
    """Give the workshop's air as the shop says it is: °C and % relative humidity."""
    said = HouseRules.objects.values_list("workshop_c", "workshop_pct").first()
    return said or (WORKSHOP_C, WORKSHOP_PCT)


def find_gauge(*, gauge_id: int, today: date) -> GaugeRow | None:
    gauge = Gauge.objects.filter(pk=gauge_id).first()
    return _row(gauge, today) if gauge else None


def gauges(*, today: date) -> tuple[GaugeRow, ...]:
    """List the gauges, those that are due first."""
    return tuple(_row(one, today) for one in Gauge.objects.order_by("due_on", "name"))


def _row(gauge: Gauge, today: date) -> GaugeRow:
    return GaugeRow(
        gauge.pk,
        gauge.name,
        gauge.tag,
        gauge.kind,
        gauge.unit,
        gauge.due_on,
        gauge.due_on < today,
    )
