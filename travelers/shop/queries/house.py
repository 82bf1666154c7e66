"""What has this shop decided for itself, and which gauges does it have?"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from travelers.shop.models import Gauge, GaugeFault, HouseRules
from travelers.shop.rules import WORKSHOP_C, WORKSHOP_PCT, OverdueGauges


@dataclass(frozen=True, slots=True)
class GaugeRow:
    """A gauge; ``overdue`` also says of one that was found bad that it is out."""

    id: int
    name: str
    tag: str
    kind: str
    unit: str
    due_on: date
    overdue: bool
    bad_since: datetime | None = None

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


@dataclass(frozen=True, slots=True)
class GaugeFaultRow:
    """What is known of a gauge that was found bad and is not back yet."""

    good_until_on: date
    reason: str
    found_at: datetime
    found_by: str


def find_gauge_fault(*, tag: str) -> GaugeFaultRow | None:
    """Give the fault of a gauge that stands, or none."""
    row = (
        GaugeFault.objects.filter(gauge__tag=tag, ended_at__isnull=True)
        .select_related("found_by")
        .first()
    )
    if row is None:
        return None
    return GaugeFaultRow(row.good_until_on, row.reason, row.found_at, str(row.found_by))


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
        gauge.due_on < today or gauge.bad_since is not None,
        gauge.bad_since,
    )
