"""What does QA look at before a part is swapped, both sides beside each other?"""

from dataclasses import dataclass
from datetime import date, datetime

from travelers.floor.queries.swaps import side_of
from travelers.floor.queries.tags import Thing, Unread, find_tag, unread
from travelers.floor.rules.machine import OPEN, State
from travelers.floor.rules.swap import Side, why_apart
from travelers.kit.refusals import Refusal
from travelers.orders.models import Instrument, Part
from travelers.orders.rules import InstrumentState, Look
from travelers.routes.rules import Branch, in_branch_order


@dataclass(frozen=True, slots=True)
class Choice:
    """A part of an instrument that may be swapped."""

    branch: Branch
    code: str


@dataclass(frozen=True, slots=True)
class Half:
    """One of both parts as QA weighs it, and the instrument that it is in."""

    serial: str
    model: str
    revision: str
    finish: str
    order: str
    note: str
    due_on: date
    branch: Branch
    code: str
    plank_set: str
    stage: str
    look: Look | None
    since: datetime | None
    held: bool
    done: int
    count: int
    at: str


@dataclass(frozen=True, slots=True)
class SwapPage:
    """An instrument's parts, and once both are named the two that shall be swapped.

    ``refusal`` says why they cannot be, ``unread`` that nothing has the name that
    was typed for the other.
    """

    serial: str
    choices: tuple[Choice, ...]
    chosen: str = ""
    typed: str = ""
    mine: Half | None = None
    theirs: Half | None = None
    refusal: Refusal | None = None
    unread: Unread | None = None


def swap_page(*, serial: str, code: str, text: str, typed: str) -> SwapPage | None:
    """Look up both sides; ``text`` names the other, read as a scan or a serial.

    ``typed`` is how it came, to be shown again.
    """
    rows = Part.objects.in_use().filter(instrument__serial=serial).order_by("id")
    parts = in_branch_order(rows)
    if not parts:
        return None
    choices = tuple(
        Choice(Branch(part.branch), part.code)
        for part in parts
        if part.branch != Branch.ASSEMBLY
    )
    mine = next((part for part in parts if part.code == code), None)
    if mine is None or not typed:
        return SwapPage(serial, choices, code, typed)
    theirs = _find_other(text, typed, mine)
    if theirs is None:
        return SwapPage(serial, choices, code, typed, unread=unread(text=typed))
    both = side_of(part=mine), side_of(part=theirs)
    return SwapPage(
        serial,
        choices,
        code,
        typed,
        _half(mine, both[0]),
        _half(theirs, both[1]),
        why_apart(*both),
    )


def _find_other(text: str, typed: str, mine: Part) -> Part | None:
    """Find the other part by its tag, or by its instrument: serial, tag or wood."""
    tag = find_tag(code=text)
    if tag and tag.thing is Thing.PART and tag.number != Branch.ASSEMBLY:
        return Part.objects.get(pk=tag.id)
    serial = tag.serial if tag else typed.strip()
    return (
        Part.objects.in_use()
        .filter(
            instrument__in=Instrument.objects.filter(serial__iexact=serial),
            branch=mine.branch,
        )
        .first()
    )


def _half(part: Part, side: Side) -> Half:
    row = (
        Part.objects.filter(pk=part.pk)
        .select_related("instrument__order", "stage", "plank_set")
        .get()
    )
    order = row.instrument.order
    own = [step for step in side.steps if step.part_id == part.pk]
    own = [step for step in own if step.state is not State.VOID]
    now = next((step for step in own if step.state in OPEN), None)
    is_off = side.state is not InstrumentState.OPEN
    return Half(
        serial=side.serial,
        model=side.model,
        revision=side.revision,
        finish=order.finish,
        order=order.number,
        note=order.note,
        due_on=order.due_on,
        branch=Branch(row.branch),
        code=row.code,
        plank_set=row.plank_set.number if row.plank_set else "",
        stage=row.stage.name if row.stage and not is_off else "",
        look=Look(row.look) if row.look else None,
        since=row.since,
        held=row.held_at is not None,
        done=sum(step.state is State.DONE for step in own),
        count=len(own),
        at=side.title(now) if now else "",
    )
