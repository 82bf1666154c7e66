"""How old is what is open, held against how long others took?"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from travelers.formulas.percentiles import share_below_pct
from travelers.orders.models import Instrument, Part
from travelers.planning.queries.counted import open_instruments
from travelers.planning.queries.flow.closed import Closed
from travelers.planning.rules import DAY
from travelers.routes.rules import Branch
from travelers.shop.models import Stage


@dataclass(frozen=True, slots=True)
class Open:
    """An instrument on the floor: its age, where it is, and how many took less.

    ``stage_id`` is where its body is, or the instrument itself once that is joined.
    ``older_than_pct`` of those finished lately had left the floor at its age.
    """

    serial: str
    model: str
    order: str
    due_on: date
    released_at: datetime
    age: timedelta
    stage_id: int | None
    stage: str
    older_than_pct: float | None

    @property
    def age_days(self) -> float:
        return self.age / DAY


def open_now(*, closed: list[Closed], at: datetime) -> list[Open]:
    """List what is on the floor, the oldest first."""
    took = [one.lead_days for one in closed if one.is_finished]
    where = _places()
    names = dict(Stage.objects.order_by().values_list("pk", "name"))
    # Looked up by number: joined, the database would read the instruments of all years.
    numbers = list(open_instruments().order_by().values_list("pk", flat=True))
    rows = (
        Instrument.objects.filter(pk__in=numbers)
        .values_list(
            "pk",
            "serial",
            "revision__model__name",
            "order__number",
            "order__due_on",
            "released_at",
        )
        .order_by("released_at", "serial")
    )
    found = []
    for pk, serial, model, order, due_on, released_at in rows:
        age, stage = at - released_at, where.get(pk)
        older = share_below_pct(took, age / DAY) if took else None
        told = (serial, model, order, due_on, released_at, age)
        found.append(Open(*told, stage, names.get(stage or 0, ""), older))
    return found


def _places() -> dict[int, int]:
    """Say at which stage each instrument is that has something on the floor."""
    rows = Part.objects.filter(
        stage__isnull=False, branch__in=[Branch.BODY, Branch.ASSEMBLY]
    ).order_by("instrument_id")
    found: dict[int, int] = {}
    for instrument, branch, stage in rows.values_list(
        "instrument_id", "branch", "stage_id"
    ):
        if branch == Branch.ASSEMBLY or instrument not in found:
            found[instrument] = stage
    return found
