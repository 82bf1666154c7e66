"""What stands on a traveler: the route that many share, and what is one's own?"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.conf import settings
from django.http import Http404
from django.utils import timezone
from django.utils.translation import get_language

from travelers.formulas import codes
from travelers.kit.drawing.marks import Look
from travelers.kit.refusals import Refused
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.orders.rules import InstrumentState, StepState
from travelers.paper import rules
from travelers.paper.queries.lines import (
    Caution,
    Done,
    Dot,
    Entry,
    RouteSheet,
    Section,
    Tag,
    Told,
    Traveler,
)
from travelers.paper.rules import Size
from travelers.routes.queries import released_route
from travelers.routes.rules import ORDER, Branch, Route, in_branch_order


@dataclass(frozen=True, slots=True)
class _Now:
    """A step as a row of the table."""

    part_id: int
    branch: Branch
    operation_id: int
    repeat: int
    turn: int
    state: StepState
    finished_on: date | None
    place_code: str
    place: str


def language() -> str:
    """Say in which language a paper is printed: that of whoever asks for it."""
    return get_language() or settings.LANGUAGE_CODE


def order_serials(*, number: str, first: int = 1, last: int | None = None) -> list[str]:
    """List the serials of a released order from one place in it to another."""
    order = WorkOrder.objects.filter(number=number).first()
    if order is None:
        raise Http404(number)
    if order.released_at is None:
        raise Refused(rules.NOT_RELEASED.about(order=number))
    return list(
        order.instruments.filter(position__range=(first, last or order.quantity))
        .order_by("position")
        .values_list("serial", flat=True)
    )


def travelers(*, serials: Sequence[str], size: Size) -> list[Traveler]:
    """Give the travelers of these serials, by order and place in it."""
    if no := rules.may_print(count=len(set(serials))):
        raise Refused(no)
    found = list(
        Instrument.objects.filter(serial__in=serials)
        .select_related("order", "revision__model")
        .order_by("order_id", "position")
    )
    if missing := set(serials) - {instrument.serial for instrument in found}:
        raise Http404(min(missing))
    parts, steps = _parts(found), _steps(found)
    return [_traveler(one, parts[one.pk], steps[one.pk], size) for one in found]


def _parts(found: Iterable[Instrument]) -> dict[int, list[Part]]:
    parts = defaultdict(list)
    for part in in_branch_order(
        Part.objects.in_use()
        .filter(instrument__in=found)
        .select_related("plank_set__plank__delivery__species")
        .order_by("id")
    ):
        parts[part.instrument_id].append(part)
    return parts


def _steps(found: Iterable[Instrument]) -> dict[int, list[_Now]]:
    steps = defaultdict(list)
    rows = (
        Step.objects.filter(instrument__in=found, part__scrapped_at__isnull=True)
        .order_by("instrument_id", "part_id", "position")
        .values_list(
            "instrument_id", "part_id", "part__branch", "operation_id", "repeat",
            "turn", "state", "finished_at", "station__code", "station__name",
            "stage__name",
        )
    )  # fmt: skip
    for instrument, part, branch, operation, repeat, turn, state, at, *place in rows:
        code, station, stage = place
        steps[instrument].append(
            _Now(
                part,
                Branch(branch),
                operation,
                repeat,
                turn,
                StepState(state),
                timezone.localdate(at) if at and state == StepState.DONE else None,
                code or "",
                station or stage,
            )
        )
    return steps


def _traveler(
    one: Instrument, parts: list[Part], steps: list[_Now], size: Size
) -> Traveler:
    route = released_route(revision_id=one.revision_id)
    order = one.order
    steps = sorted(steps, key=lambda now: ORDER[now.branch])
    lines = _lines(route, steps, one.position)
    sections = tuple(
        Section(
            branch, tuple(entry for entry, _ in lines if entry.line.branch is branch)
        )
        for branch in Branch
    )
    return Traveler(
        serial=one.serial,
        position=one.position,
        tags=tuple(_tag(part) for part in parts),
        dots=tuple(_dots(one, parts, steps, route)),
        done=tuple(done for _, done in lines if any(done.days)),
        route=RouteSheet(
            order=order.number,
            model=one.revision.model.name,
            shape=one.revision.model.shape,
            finish=order.finish,
            note=order.note,
            revision=one.revision.number,
            due_on=order.due_on,
            quantity=order.quantity,
            sections=sections,
            cautions=tuple(cautions_of(sections)),
            size=size,
            language=language(),
        ),
    )


def _tag(part: Part) -> Tag:
    wood = part.plank_set
    return Tag(
        Branch(part.branch),
        part.code,
        codes.link(part.code, settings.PUBLIC_ORIGIN),
        wood.number if wood else "",
        wood.plank.delivery.species.name if wood else "",
    )


def _sections(entries: Sequence[Entry]) -> Iterator[Section]:
    for branch in Branch:
        own = (entry for entry in entries if entry.line.branch is branch)
        yield Section(branch, tuple(own))


def _lines(route: Route, steps: list[_Now], position: int) -> list[tuple[Entry, Done]]:
    """Make the lines of all branches, each with the days on which it was done."""
    own = [now for now in steps if now.state is not StepState.VOID]
    return [
        line
        for _, turns in groupby(
            own, key=lambda now: (now.part_id, now.operation_id, now.turn)
        )
        for line in _entries(route, list(turns), position)
    ]


def _entries(
    route: Route, turns: list[_Now], position: int
) -> Iterator[tuple[Entry, Done]]:
    """Make one line of an operation's turns; several where each has its checks."""
    first = turns[0]
    line = route.by_id[first.operation_id]
    checks = tuple(check for check in line.checks if check.is_due_for(position))
    for lot in [[now] for now in turns] if checks else [turns]:
        key = f"{line.id}-{first.turn}-{lot[0].repeat}"
        entry = Entry(
            key=key,
            line=line,
            place_code=first.place_code,
            place=first.place,
            rework=first.turn,
            checks=checks,
            turns=tuple(now.repeat for now in lot),
            after=tuple(
                (before.branch, before.number)
                for before in map(route.by_id.__getitem__, line.after)
            ),
        )
        yield entry, Done(key, tuple(now.finished_on for now in lot))


def cautions_of(sections: Iterable[Section]) -> Iterator[Caution]:
    """Gather what each sign warns of, with the operations; in the order of codes."""
    told: dict[str, dict[str, dict[Branch, list[int]]]] = defaultdict(
        lambda: defaultdict(lambda: defaultdict(list))
    )
    for section in sections:
        for entry in section.entries:
            for hazard in entry.line.hazards:
                numbers = told[hazard.sign][hazard.sentence][section.branch]
                if entry.line.number not in numbers:
                    numbers.append(entry.line.number)
    for sign, sentences in sorted(told.items()):
        yield Caution(sign, tuple(_by_use(sentences)))


def _by_use(sentences: Mapping[str, Mapping[Branch, list[int]]]) -> Iterator[Told]:
    """Put the sentence of most operations first; it needs no list of them."""

    def used(sentence: str) -> int:
        return -sum(map(len, sentences[sentence].values()))

    for place, sentence in enumerate(sorted(sentences, key=used)):
        where = sentences[sentence] if place else {}
        yield Told(sentence, tuple((b, tuple(n)) for b, n in where.items()))


def _dots(
    one: Instrument, parts: list[Part], steps: list[_Now], route: Route
) -> Iterator[Dot]:
    held = {part.pk for part in parts if part.held_at or one.held_at}
    scrapped = one.state == InstrumentState.SCRAPPED
    for now in steps:
        look = LOOKS[now.state]
        if look not in (Look.DONE, Look.VOID, Look.TO_COME):
            look = Look.HELD if now.part_id in held else look
            look = Look.SCRAPPED if scrapped else look
        yield Dot(now.branch, look, route.by_id[now.operation_id].name)


LOOKS = {
    StepState.WAITING: Look.TO_COME,
    StepState.READY: Look.WAITING,
    StepState.RUNNING: Look.IN_WORK,
    StepState.DWELLING: Look.DWELLING,
    StepState.DONE: Look.DONE,
    StepState.VOID: Look.VOID,
}
