"""Which numbers must stand on the pages, by the events of the ledger alone?

Each page is told once more as a line of text with every number that it shows, in the
order in which it shows them, reckoned slowly from the events that stand and from what a
release copies.  ``numbers`` reads them from both, so that none can be left out.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from difflib import unified_diff
from functools import cached_property
from html import unescape
from zoneinfo import ZoneInfo

import numpy as np
from django.template.defaultfilters import floatformat
from django.utils.formats import date_format

from tests.planning.ledger import Key, Ledger, Numbers, Told, recount
from travelers.kit.words import moment, span
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.models import Operation
from travelers.shop.models import Stage

LOOKS = ("IN_WORK", "DWELLING", "WAITING", "HELD", "SCRAPPED")
BRANCHES = ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY")
PERCENTILES = (50, 80, 95)
DAY = timedelta(days=1)
# From so many finished instruments on ages are held against them, in these tests.
ENOUGH = 3
# Of none nothing came, entered, went, left or lay.
NONE = (0, 0, 0, 0, 0)


def numbers(text: str) -> list[str]:
    """Give all numbers that can be seen, and the dashes that stand for none."""
    seen = re.sub(
        r"<(?:script|style)\b.*?</(?:script|style)>|<[^>]+>", " ", text, flags=re.S
    )
    return re.findall(r"\d+(?:\.\d+)*|–", unescape(seen))


def differences(page: str, told: str) -> list[str]:
    """Say where the numbers of a page are not those told, with some before each."""
    lines = unified_diff(numbers(page), numbers(told), "page", "told", lineterm="", n=9)
    return list(lines)


@dataclass(frozen=True)
class Recount:
    """The ledger as it stands at a moment."""

    ledger: Ledger
    at: datetime
    zone: ZoneInfo

    @cached_property
    def days(self) -> dict[Key, Numbers]:
        return recount(last=self.today(), zone=self.zone)

    @cached_property
    def stages(self) -> list[Stage]:
        return list(Stage.objects.order_by("position"))

    @cached_property
    def instruments(self) -> dict[int, Instrument]:
        rows = Instrument.objects.select_related("revision__model", "order")
        return {one.pk: one for one in rows.order_by("pk")}

    @cached_property
    def told(self) -> dict[int, list[Told]]:
        """Give the events of each instrument that moved something."""
        found: dict[int, list[Told]] = {pk: [] for pk in self.instruments}
        for one in self.ledger.told:
            found[one.instrument].append(one)
        return found

    def today(self) -> date:
        return self.day(self.at)

    def day(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()

    # What is where

    def state(self, step: Step, at: datetime) -> str:
        """Say what a step was at a moment: what its last event made of it."""
        own = [
            one.data["state"]
            for one in self.ledger.told
            if one.step == step.pk and one.at <= at and "state" in one.data
        ]
        return own[-1] if own else "WAITING"

    def held(self, instrument: int, at: datetime) -> set[int | None]:
        """Name the parts that were held; none stands for the whole instrument."""
        open_holds: dict[str, int | None] = {}
        for one in self.told[instrument]:
            if one.at > at:
                continue
            if one.kind == "HOLD":
                open_holds[one.event] = one.data["part"]
            if one.kind == "LIFT":
                open_holds.pop(one.data["hold"], None)
        return set(open_holds.values())

    def shown(self, part: Part, at: datetime) -> tuple[int, str] | None:
        """Say at which stage the board had a part, and how it looked there."""
        owner = self.ledger.owner(part.pk, at)
        if self.closed_by(owner, at):
            return None
        stage = self.ledger.stage(part.pk, at)
        if stage is None:
            return None
        own = [
            one for one in self.ledger.steps[part.pk] if self.ledger.is_open(one, at)
        ]
        look = {"RUNNING": "IN_WORK", "DWELLING": "DWELLING"}.get(
            self.state(own[0], at) if own else "WAITING", "WAITING"
        )
        held = self.held(owner, at)
        # What is joined is held with what it was joined to.
        inside = {part.pk}
        if part.branch == "ASSEMBLY":
            inside |= {
                other
                for other, row in self.ledger.parts.items()
                if self.ledger.owner(other, at) == owner
                and self.ledger.stage(other, at) is None
                and row.branch != "ASSEMBLY"
            }
        return stage, "HELD" if None in held or held & inside else look

    def since(self, part: Part) -> datetime:
        """Say from when on a part has stood where it stands, looking as it does."""
        moments = {one.at for one in self.ledger.told if one.at <= self.at}
        moments |= set(self.ledger.released_at.values())
        now = self.shown(part, self.at)
        since = self.at
        for at in sorted(moments, reverse=True):
            released = self.ledger.released_at[self.ledger.owner(part.pk, at)]
            if at < released or self.shown(part, at) != now:
                break
            since = at
        return max(since, self._free_at(part)) if now and now[1] == "HELD" else since

    def _free_at(self, part: Part) -> datetime:
        """Say when nothing held a part last, be it for no time at all."""
        holds: set[str] = set()
        owner = self.ledger.owner(part.pk, self.at)
        free_at = self.ledger.released_at[owner]
        for one in self.told[owner]:
            if one.kind == "HOLD" and one.data["part"] in (None, part.pk):
                holds.add(one.event)
            if one.kind == "LIFT":
                holds.discard(one.data["hold"])
            if not holds:
                free_at = one.at
        return free_at

    # What became of instruments

    def closed(self, instrument: int) -> tuple[datetime, str] | None:
        """Say when an instrument left the floor, and whether it was finished."""
        for one in self.told[instrument]:
            if one.kind == "SCRAP":
                return one.at, "SCRAPPED"
        (assembly,) = (
            part
            for part, row in self.ledger.parts.items()
            if row.instrument_id == instrument and row.branch == "ASSEMBLY"
        )
        steps = [one.pk for one in self.ledger.steps[assembly]]
        if all(step in self.ledger.ended for step in steps):
            return max(self.ledger.ended[step] for step in steps), "FINISHED"
        return None

    def closed_by(self, instrument: int, at: datetime) -> bool:
        found = self.closed(instrument)
        return found is not None and found[0] <= at

    def lead_days(self, instrument: int) -> float:
        found = self.closed(instrument)
        assert found
        return (found[0] - self.ledger.released_at[instrument]) / DAY

    def closed_since(self, first: date) -> dict[int, str]:
        """Name what left the floor from a day on, and as what."""
        found = {}
        for pk in self.instruments:
            end = self.closed(pk)
            if end and first <= self.day(end[0]):
                found[pk] = end[1]
        return found

    @cached_property
    def open(self) -> list[int]:
        """Name what is on the floor, the oldest first."""
        rows = [pk for pk in self.instruments if not self.closed_by(pk, self.at)]
        serials = {pk: one.serial for pk, one in self.instruments.items()}
        return sorted(rows, key=lambda pk: (self.ledger.released_at[pk], serials[pk]))

    # What waits

    def ready_at(self, step: Step) -> datetime:
        """Say when a step could be begun: it was asked for, all before it was done."""
        part = self.ledger.parts[step.part_id]
        at = self.ledger.began.get(step.pk, self.at)
        owner = self.ledger.owner(part.pk, at)
        moments = [self.ledger.released_at[part.instrument_id]]
        before = [
            one for one in self.ledger.steps[part.pk] if one.position < step.position
        ]
        for other in self.ledger.parts.values():
            joined = other.branch in self.ledger.joins[step.operation_id]
            if joined and self.ledger.owner(other.pk, at) == owner:
                before += self.ledger.steps[other.pk]
        moments += [self.ledger.ended[one.pk] for one in before]
        if step.pk in self.ledger.added:
            moments.append(self.ledger.added[step.pk])
        return max(moments)

    def is_ready(self, step: Step) -> bool:
        """Say whether a step could be begun now and nobody holds it."""
        ledger, part = self.ledger, self.ledger.parts[step.part_id]
        owner = ledger.owner(part.pk, self.at)
        if self.closed_by(owner, self.at) or self.held(owner, self.at) & {
            None,
            part.pk,
        }:
            return False
        if not ledger.is_open(step, self.at) or ledger.is_begun(step, self.at):
            return False
        before = [one for one in ledger.steps[part.pk] if one.position < step.position]
        for other in ledger.parts.values():
            joined = other.branch in ledger.joins[step.operation_id]
            if joined and ledger.owner(other.pk, self.at) == owner:
                before += ledger.steps[other.pk]
        return not any(ledger.is_open(one, self.at) for one in before)


def board_text(found: Recount) -> str:
    """Tell the board: the drawing, the figures and the table."""
    ledger, counts = found.ledger, Counter[tuple[int, str, str]]()
    oldest: dict[tuple[int, str], datetime] = {}
    for part in ledger.parts.values():
        if (now := found.shown(part, found.at)) is None:
            continue
        stage, look = now
        counts[stage, part.branch, look] += 1
        since = found.since(part)
        place = stage, part.branch
        oldest[place] = min(since, oldest.get(place, since))
    ways = set(Operation.objects.values_list("stage_id", "branch"))
    places = [
        (stage.pk, branch)
        for branch in BRANCHES
        for stage in found.stages
        if (stage.pk, branch) in ways or (stage.pk, branch) in oldest
    ]
    text = [moment(found.at)]
    for place in places:
        own = [counts[*place, look] for look in LOOKS]
        named = [n for n in own if n]
        text.append(f"{sum(own)} {_said(named)} {sum(own)}")
    whole = [sum(counts[*place, look] for place in places) for look in LOOKS]
    text += [f"{sum(whole)}", _said(n for n in whole if n)]
    for place in places:
        own = [counts[*place, look] for look in LOOKS]
        age = span(found.at - oldest[place]) if place in oldest else ""
        text.append(f"{_said(own)} {sum(own)} {age}")
    text.append(f"{_said(whole)} {sum(whole)}")
    return " ".join(text)


def _said(values: Iterable[object]) -> str:
    return " ".join(map(str, values))


def flow_text(
    found: Recount, *, span_days: int, spans: Sequence[int], of: str = ""
) -> str:
    """Tell the flow page piece by piece; ``of`` names the branch that is drawn."""
    first, told = found.today() - span_days * DAY, found.days
    days = [first + n * DAY for n in range(span_days + 1)]
    closed = found.closed_since(first)
    finished = [pk for pk, state in closed.items() if state == "FINISHED"]
    took = [found.lead_days(pk) for pk in finished]
    leads = [
        f"{pct} 100 {floatformat(np.percentile(took, pct), 0)}"
        for pct in PERCENTILES
        if took
    ]
    weeks = list(_weeks(found, days, told, closed))
    over = [week[2] for week in weeks if week[0] + 6 * DAY < found.today()]
    return " ".join(
        [
            f"{_day(first)} {moment(found.at)} {_said(spans)}",
            f"{len(found.open)} {len(finished)}",
            floatformat(sum(over) / len(over), 1),
            _said(leads),
            _course(found, days, of),
            _said(_week_row(week) for week in weeks),
            _ratios(found, closed),
            _ages(found, took, leads),
            _waits(found, first),
            _yields(found, first),
            _little(found, days, told, closed),
        ]
    )


def _course(found: Recount, days: list[date], of: str) -> str:
    """Tell the table of every seventh day: what lay where, in all, and was gone."""
    told = {
        (day, stage): row
        for (day, stage, branch), row in found.days.items()
        if branch == of and day >= days[0]
    }
    shown = [one.pk for one in found.stages if any(one.pk == pk for _, pk in told)]
    rows = []
    # Up to a month by days, from then on by weeks.
    for day in days[::-7][::-1] if len(days) > 31 else days:
        lay = [told.get((day, stage), NONE)[4] for stage in shown]
        gone = sum(row[3] for (other, _), row in told.items() if other <= day)
        rows.append(f"{_day(day)} {_dashed(lay)} {sum(lay)} {gone}")
    return _said(rows)


def _weeks(
    found: Recount, days: list[date], told: dict[Key, Numbers], closed: dict[int, str]
) -> Iterator[tuple[date, int, int, int, int]]:
    """Count by weeks from Monday on what came, was finished, scrapped, and lay then."""
    for monday in (day for day in days if day.weekday() == 0):
        last = min(monday + 6 * DAY, found.today())
        left = [
            state
            for pk, state in closed.items()
            if monday <= found.day(found.closed(pk)[0]) <= last  # type: ignore[index]
        ]
        came = sum(
            monday <= found.day(at) <= last for at in found.ledger.released_at.values()
        )
        lay = sum(
            row[4]
            for (day, _, branch), row in told.items()
            if (day, branch) == (last, "")
        )
        yield monday, came, left.count("FINISHED"), left.count("SCRAPPED"), lay


def _week_row(week: tuple[date, int, int, int, int]) -> str:
    monday, came, done, scrapped, lay = week
    return f"{_day(monday)} {came} {done} {scrapped or '–'} {lay}"


def _ratios(found: Recount, closed: dict[int, str]) -> str:
    """Tell the scrap and rework ratios of all that left the floor, with their parts."""
    scrapped = list(closed.values()).count("SCRAPPED")
    again = sum(
        any(step in found.ledger.added for step in _standing(found, pk))
        for pk in closed
    )
    of = len(closed)
    if not of:
        return ""
    return " ".join(
        [
            f"{floatformat(100 * scrapped / of, 1)} {floatformat(100 * again / of, 1)}",
            f"22400 2 {scrapped} {of} {again} {of}",
        ]
    )


def _standing(found: Recount, instrument: int) -> list[int]:
    """Name the steps of an instrument that were not given up."""
    void = {step for one in found.ledger.told for step in one.data.get("void", ())}
    return [
        step.pk
        for part in found.ledger.parts
        if found.ledger.owner(part, found.at) == instrument
        for step in found.ledger.steps[part]
        if step.pk not in void
    ]


def _ages(found: Recount, took: list[float], leads: list[str]) -> str:
    """Tell how long others took, and what is older than 85 of 100 of them were."""
    said = f"{len(took)} {_said(leads)}" if took else ""
    if len(took) < ENOUGH:
        return f"{said} {ENOUGH}"
    rows = []
    for pk in found.open:
        age = found.at - found.ledger.released_at[pk]
        if age / DAY > np.percentile(took, 85):
            one = found.instruments[pk]
            less = 100 * sum(lead < age / DAY for lead in took) / len(took)
            named = f"{one.serial} {one.revision.model.name} {one.order.number}"
            due = _day(one.order.due_on)
            rows.append(f"{named} {due} {span(age)} {floatformat(less, 0)}")
    return f"{said} 85 100 {len(rows)} 85 100 100 {_said(rows)}" if rows else said


def _waits(found: Recount, first: date) -> str:
    """Tell by stages how long was waited for what was begun, and what waits now."""
    ledger = found.ledger
    waited: dict[int, list[float]] = {}
    waiting: dict[int, list[float]] = {}
    for step in (step for steps in ledger.steps.values() for step in steps):
        began = ledger.began.get(step.pk)
        if began is not None and first <= found.day(began):
            hours = (began - found.ready_at(step)).total_seconds() / 3600
            waited.setdefault(step.stage_id, []).append(max(hours, 0))
        if found.is_ready(step):
            hours = (found.at - found.ready_at(step)).total_seconds() / 3600
            waiting.setdefault(step.stage_id, []).append(hours)
    rows = ["50 100 80 100 95 100"]
    for stage in found.stages:
        own, now = waited.get(stage.pk, []), waiting.get(stage.pk, [])
        if own or now:
            of_100 = [
                _hours(np.percentile(own, pct)) if own else "–" for pct in PERCENTILES
            ]
            longest = _hours(max(now)) if now else "–"
            rows.append(
                f"{len(own) or '–'} {_said(of_100)} {len(now) or '–'} {longest}"
            )
    return _said(rows)


def _hours(hours: float) -> str:
    return span(timedelta(hours=float(hours)))


def _yields(found: Recount, first: date) -> str:
    """Tell for the one model what passed each stage, and what had a defect there."""
    ledger = found.ledger
    stage_of = {
        step.pk: step.stage_id for steps in ledger.steps.values() for step in steps
    }
    part_of = {
        step.pk: step.part_id for steps in ledger.steps.values() for step in steps
    }
    entered: dict[int, set[int]] = {}
    failed: dict[int, set[int]] = {}
    for one in ledger.told:
        if found.day(one.at) < first or one.step not in stage_of:
            continue
        done = one.kind in ("FINISH", "TAKE_OUT") and one.data["state"] == "DONE"
        if done or one.kind == "DEFECT":
            entered.setdefault(stage_of[one.step], set()).add(part_of[one.step])
        if one.kind == "DEFECT":
            failed.setdefault(stage_of[one.step], set()).add(one.part)
    rows, rolled = [], 1.0
    for stage in found.stages:
        if stage.pk in entered:
            of, bad = len(entered[stage.pk]), len(failed.get(stage.pk, ()))
            rolled *= (of - bad) / of
            rows.append(f"{of} {bad or '–'} {floatformat(100 * (of - bad) / of, 1)}")
    return f"{floatformat(100 * rolled, 1)} {_said(rows)} 22400 2"


def _little(
    found: Recount, days: list[date], told: dict[Key, Numbers], closed: dict[int, str]
) -> str:
    """Tell Little's law with its numbers, over the days that are over."""
    over = days[:-1]
    left = [pk for pk in closed if found.day(found.closed(pk)[0]) in over]  # type: ignore[index]
    lain = [row for (day, _, branch), row in told.items() if day in over and not branch]
    if not left or not lain:
        return ""
    stock = sum(row[4] for row in lain) / len(over)
    rate = len(left) / len(over)
    lead = sum(map(found.lead_days, left)) / len(left)
    apart = 100 * abs(rate * lead - stock) / stock
    nights = 0
    for pk, released in found.ledger.released_at.items():
        end = found.closed(pk)
        last = min(found.day(end[0]) if end else found.today(), found.today())
        nights += max(0, (last - max(found.day(released), days[0])).days)
    came = sum(found.day(at) in over for at in found.ledger.released_at.values())
    rates = floatformat(rate, 3)
    return " ".join(
        [
            f"{len(over)} {floatformat(stock, 1)} {rates} {floatformat(lead, 1)}",
            f"{rates} {floatformat(lead, 1)} {floatformat(rate * lead, 1)}",
            f"{floatformat(apart, 0)} {came} {len(left)} {nights}",
            f"{floatformat(rate * 365.25 / stock, 2)} 22400 2",
        ]
    )


def _day(day: date) -> str:
    return date_format(day, "j M Y")


def _dashed(values: Iterable[int]) -> str:
    return _said(n or "–" for n in values)
