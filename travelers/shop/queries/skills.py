"""Which kinds of work ask for somebody qualified, and who is?"""

from dataclasses import dataclass
from datetime import date, datetime

from travelers.shop.models import NeedsQualification, Person, Qualification, Stage
from travelers.shop.rules import Role, Work


@dataclass(frozen=True, slots=True)
class Holder:
    """Somebody who may do a kind of work; without a day it is for good."""

    username: str
    name: str
    until: date | None
    is_over: bool


@dataclass(frozen=True, slots=True)
class Need:
    """A kind of work at a stage that asks for somebody qualified."""

    stage_code: str
    stage: str
    kind: Work
    holders: tuple[Holder, ...] = ()

    @property
    def able(self) -> tuple[Holder, ...]:
        return tuple(one for one in self.holders if not one.is_over)

    @property
    def lapsed(self) -> tuple[Holder, ...]:
        return tuple(one for one in self.holders if one.is_over)


@dataclass(frozen=True, slots=True)
class Candidate:
    """Somebody who works here, and whether he or she has a qualification."""

    username: str
    name: str
    roles: tuple[Role, ...]
    has_it: bool
    until: date | None
    is_over: bool
    given_at: datetime | None
    given_by: str


@dataclass(frozen=True, slots=True)
class NeedPage:
    need: Need
    people: tuple[Candidate, ...]


def needs(*, on: date) -> tuple[Need, ...]:
    """List what is asked for, in the order of the stages, and who may do it."""
    holders: dict[tuple[int, str], list[Holder]] = {}
    rows = Qualification.objects.filter(person__is_active=True)
    for row in rows.select_related("person").order_by(*_BY_NAME):
        held = Holder(row.person.username, str(row.person), row.until, _over(row, on))
        holders.setdefault((row.stage_id, row.kind), []).append(held)
    asked = NeedsQualification.objects.select_related("stage")
    return tuple(
        Need(
            row.stage.code,
            row.stage.name,
            Work(row.kind),
            tuple(holders.get((row.stage_id, row.kind), ())),
        )
        for row in asked.order_by("stage__position", "kind")
    )


def find_need(*, stage: str, kind: str, on: date) -> NeedPage | None:
    """Show one that is asked for, with all who work here."""
    found = [one for one in needs(on=on) if (one.stage_code, one.kind) == (stage, kind)]
    if not found:
        return None
    has = {
        row.person_id: row
        for row in Qualification.objects.filter(
            stage__code=stage, kind=kind
        ).select_related("given_by")
    }
    people = Person.objects.filter(is_active=True).order_by(
        "first_name", "last_name", "username"
    )
    return NeedPage(
        found[0],
        tuple(_candidate(one, has.get(one.pk), on) for one in people if one.roles),
    )


def _candidate(person: Person, row: Qualification | None, on: date) -> Candidate:
    return Candidate(
        person.username,
        str(person),
        person.roles,
        row is not None,
        row.until if row else None,
        row is not None and _over(row, on),
        row.given_at if row else None,
        str((row and row.given_by) or ""),
    )


_BY_NAME = ("person__first_name", "person__last_name", "person__username")


def _over(row: Qualification, on: date) -> bool:
    return row.until is not None and row.until < on


def stages_to_choose() -> tuple[tuple[str, str], ...]:
    return tuple(Stage.objects.order_by("position").values_list("code", "name"))


def find_stage(*, code: str) -> Stage | None:
    return Stage.objects.filter(code=code).first()


def people_named(*, usernames: list[str]) -> dict[str, Person]:
    """Give people by their names, those who left too."""
    rows = Person.objects.filter(username__in=usernames)
    return {row.username: row for row in rows}
