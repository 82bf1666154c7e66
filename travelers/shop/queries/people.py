"""Which tablets are let in, and by what is each person known?"""

import secrets
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import OuterRef, QuerySet, Subquery

from travelers.shop.models import (
    Badge,
    Person,
    PinTry,
    Qualification,
    Session,
    Station,
    Tablet,
)
from travelers.shop.rules import MOST_FAILURES, PAUSE, may_give


@dataclass(frozen=True, slots=True)
class TabletRow:
    id: int
    name: str
    station: str
    station_code: str
    enrolled_at: datetime
    enrolled_by: str
    heard_at: datetime | None
    revoked_at: datetime | None
    revoked_by: str
    signed_in: str


@dataclass(frozen=True, slots=True)
class PersonRow:
    """Somebody, and by what he or she is known at a tablet."""

    id: int
    username: str
    name: str
    roles: tuple[str, ...]
    is_active: bool
    number: str
    has_pin: bool
    badge_since: datetime | None
    may_give: bool
    paused_at: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Skill:
    stage: str
    kind: str
    until: date | None


@dataclass(frozen=True, slots=True)
class PersonPage:
    row: PersonRow
    skills: tuple[Skill, ...]
    free_number: str


def tablets() -> tuple[TabletRow, ...]:
    """List the tablets, those that are let in first."""
    rows = list(
        Tablet.objects.select_related("station", "enrolled_by", "revoked_by").order_by(
            "station__stage__position", "name"
        )
    )
    signed_in = _signed_in()
    return tuple(
        TabletRow(
            row.pk,
            row.name,
            row.station.name,
            row.station.code,
            row.enrolled_at,
            str(row.enrolled_by),
            row.heard_at,
            row.revoked_at,
            str(row.revoked_by or ""),
            signed_in.get(row.pk, ""),
        )
        for row in sorted(rows, key=lambda row: row.revoked_at is not None)
    )


def _signed_in() -> dict[int, str]:
    """Say who was signed in last at each tablet, if nobody signed out since."""
    sessions = Session.objects.filter(tablet__isnull=False, person__isnull=False)
    rows = sessions.select_related("person").order_by("expire_date", "session_key")
    return {row.tablet_id or 0: str(row.person) for row in rows}


def find_tablet(*, tablet_id: int) -> Tablet | None:
    return Tablet.objects.filter(pk=tablet_id).first()


def find_person(*, username: str) -> Person | None:
    return Person.objects.filter(username=username).first()


def people_to_give(*, usernames: list[str]) -> list[Person]:
    """Give the people of these names who still work here, in the order of names."""
    named = Person.objects.filter(username__in=usernames, is_active=True)
    return list(named.order_by("first_name", "last_name", "username"))


def people(*, by: Person, at: datetime) -> tuple[PersonRow, ...]:
    """List who works here, and by what each is known."""
    return _rows(Person.objects.filter(is_active=True), by, at)


def person_page(*, username: str, by: Person, at: datetime) -> PersonPage | None:
    rows = _rows(Person.objects.filter(username=username), by, at)
    if not rows:
        return None
    skills = Qualification.objects.filter(person_id=rows[0].id).select_related("stage")
    return PersonPage(
        rows[0],
        tuple(
            Skill(skill.stage.name, skill.kind, skill.until)
            for skill in skills.order_by("stage__position", "kind")
        ),
        rows[0].number or free_number(),
    )


def _rows(chosen: QuerySet[Person], by: Person, at: datetime) -> tuple[PersonRow, ...]:
    badge = Badge.objects.filter(person=OuterRef("pk"), revoked_at=None)
    rows = chosen.annotate(
        badge_since=Subquery(badge.values("issued_at")[:1])
    ).order_by("first_name", "last_name", "username")
    paused = _paused(at)
    return tuple(
        PersonRow(
            row.pk,
            row.username,
            str(row),
            row.roles,
            row.is_active,
            row.number or "",
            bool(row.pin),
            row.badge_since,
            may_give(by.roles, row.roles) is None,
            tuple(paused.get(row.number or "", ())),
        )
        for row in rows
    )


def _paused(at: datetime) -> dict[str, list[str]]:
    """Give the numbers whose PIN may not be tried now, with the tablets where."""
    tries = PinTry.objects.filter(
        failures__gte=MOST_FAILURES, last_at__gt=at - PAUSE
    ).order_by("tablet__name")
    paused: dict[str, list[str]] = {}
    for number, tablet in tries.values_list("number", "tablet__name"):
        paused.setdefault(number, []).append(tablet)
    return paused


def is_number_free(*, number: str, username: str) -> bool:
    """Say whether nobody but this person has the number."""
    others = Person.objects.exclude(username=username)
    return not others.filter(number=number).exists()


def free_number() -> str:
    """Propose a number that nobody has, at random: numbers tell nothing."""
    taken = set(Person.objects.exclude(number=None).values_list("number", flat=True))
    free = [number for n in range(10_000) if (number := f"{n:04}") not in taken]
    return secrets.choice(free) if free else ""


def stations_to_choose() -> tuple[tuple[str, str], ...]:
    """Give the stations by code, with their names, in the order of the stages."""
    rows = Station.objects.order_by("stage__position", "code")
    return tuple((row.code, f"{row.name} ({row.code})") for row in rows)


def get_station(*, code: str) -> Station:
    return Station.objects.get(code=code)
