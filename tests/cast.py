"""Who stands in the tests' shop?  Always the same people and places."""

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from decimal import Decimal

from travelers.shop.actions import take_codes
from travelers.shop.models import Gauge, Person, Shift, Stage, Station, Tablet
from travelers.shop.rules import Role

PASSWORD = "plank-and-string"
PEOPLE = {
    "joiner": (Role.OPERATOR,),
    "finisher": (Role.OPERATOR,),
    "lead": (Role.LEAD,),
    "planner": (Role.PLANNER,),
    "qa": (Role.QA,),
    "engineer": (Role.ROUTE_ENGINEER,),
    "admin": (Role.ADMIN,),
    "outsider": (),
}
STAGES = ("LUMBER", "DRYING", "GLUING", "MACHINING", "FINISHING", "ASSEMBLY")
# Each station's stage, whether somebody works there, and its places.
STATIONS = {
    "SAW": ("LUMBER", True, 2),
    "ROOM": ("DRYING", False, 3),
    "CLAMPS": ("GLUING", True, 4),
    "CUTTER": ("MACHINING", True, 2),
    "FRETS": ("MACHINING", True, 2),
    "BOOTH": ("FINISHING", True, 2),
    "RACK": ("FINISHING", False, 9),
    "BENCH": ("ASSEMBLY", True, 3),
}


# What the saw's tablet shows that it was let in.
TOKEN = "saw-token-0123456789"


@dataclass(frozen=True)
class Cast:
    people: dict[str, Person]
    stations: dict[str, Station]
    gauges: dict[str, Gauge]
    tablet: Tablet

    def __getattr__(self, name: str) -> Person:
        # A copy is asked for its ways of being read before it knows its people.
        if name == "people" or name.startswith("__"):
            raise AttributeError(name)
        return self.people[name]


def assemble() -> Cast:
    """Put the standing people, stations and gauges into an empty shop."""
    people, stations = _people(), _stations()
    return Cast(people, stations, _gauges(), _tablet(people, stations))


def _people() -> dict[str, Person]:
    return {
        name: Person.objects.create_user(
            name,
            password=PASSWORD,
            first_name=name.title(),
            last_name="Cast",
            initials=name[:3].upper(),
            is_staff=Role.ADMIN in roles,
            is_superuser=Role.ADMIN in roles,
            **Person.columns_of(roles),
        )
        for name, roles in PEOPLE.items()
    }


def _stations() -> dict[str, Station]:
    shift = Shift.objects.create(
        code="DAY", name="Day", weekdays="12345", starts=time(6, 30), ends=time(15)
    )
    stages = {
        code: Stage.objects.create(code=code, name=code.title(), position=position)
        for position, code in enumerate(STAGES, start=1)
    }
    tags = iter(take_codes(kind="H", count=len(STATIONS)))
    return {
        code: Station.objects.create(
            code=code,
            tag=next(tags),
            name=code.title(),
            stage=stages[stage],
            attended=attended,
            places=places,
            shift=shift,
        )
        for code, (stage, attended, places) in STATIONS.items()
    }


def _tablet(people: dict[str, Person], stations: dict[str, Station]) -> Tablet:
    return Tablet.objects.create(
        name="Saw 1",
        station=stations["SAW"],
        token_digest=hashlib.sha256(TOKEN.encode()).hexdigest(),
        enrolled_at=datetime(2025, 7, 1, 6, tzinfo=UTC),
        enrolled_by=people["lead"],
    )


def _gauges() -> dict[str, Gauge]:
    rows = {
        "meter": ("moisture_meter", "%", date(2027, 6, 30)),
        "caliper": ("caliper", "mm", date(2027, 6, 30)),
        "old caliper": ("caliper", "mm", date(2026, 1, 31)),
    }
    tags = iter(take_codes(kind="G", count=len(rows)))
    return {
        name: Gauge.objects.create(
            tag=next(tags),
            name=name,
            kind=kind,
            unit=unit,
            resolution=Decimal("0.01"),
            calibrated_on=date(2025, 7, 1),
            due_on=due,
        )
        for name, (kind, unit, due) in rows.items()
    }
