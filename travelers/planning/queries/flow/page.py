"""What is the flow of the shop: what lies where, how fast it moves, what waits?"""

from dataclasses import dataclass

from travelers.planning.queries.counted import counted
from travelers.planning.queries.flow.ages import Open, open_now
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.queries.flow.closed import (
    ENOUGH,
    OLD_PCT,
    Closed,
    Leads,
    Ratio,
    Week,
    closed_between,
    leads,
    weeks,
)
from travelers.planning.queries.flow.course import Course, course, live, stages_named
from travelers.planning.queries.flow.little import Little, little
from travelers.planning.queries.flow.waits import WaitRow, waits
from travelers.planning.queries.flow.yields import ModelYield, yields

MOST_OLD = 10


@dataclass(frozen=True, slots=True)
class FlowPage:
    """The flow over some days; ``course`` is of what was asked, all else of
    instruments."""

    asked: Asked
    course: Course
    weeks: tuple[Week, ...]
    closed: int
    finished: int
    leads: Leads
    open: int
    old: tuple[Open, ...]
    waits: tuple[WaitRow, ...]
    yields: tuple[ModelYield, ...]
    scrap: Ratio | None
    rework: Ratio | None
    little: Little | None

    @property
    def shown_old(self) -> tuple[Open, ...]:
        return self.old[:MOST_OLD]

    @property
    def enough(self) -> int:
        return ENOUGH

    @property
    def a_week(self) -> float | None:
        """Give how many were finished a week, over the weeks that are over."""
        over = [week.finished for week in self.weeks if week.is_over]
        return sum(over) / len(over) if over else None


@dataclass(frozen=True, slots=True)
class Ages:
    """What is open, with how long those took that were finished lately."""

    asked: Asked
    leads: Leads
    rows: tuple[Open, ...]
    stages: tuple[str, ...]

    @property
    def old_days(self) -> float | None:
        return self.leads.old_days if self.leads.is_enough else None

    @property
    def lines(self) -> tuple[tuple[int, float], ...]:
        """Give the percentiles that the ages are held against; none of too few."""
        if self.old_days is None:
            return ()
        return ((50, self.leads.days[0][1]), (OLD_PCT, self.old_days))


def flow_page(*, asked: Asked) -> FlowPage:
    """Draw up the flow; the days that are over are counted before."""
    today = live(asked=asked, known=counted())
    shown = course(asked=asked, today=today)
    whole = shown
    if asked.of is not None:
        whole = course(asked=_of_instruments(asked), today=today)
    closed = closed_between(since=asked.since, until=asked.until)
    lead = leads(closed=closed)
    rows = open_now(closed=closed, at=asked.at)
    return FlowPage(
        asked,
        shown,
        weeks(course=whole, closed=closed, zone=asked.zone),
        len(closed),
        lead.count,
        lead,
        len(rows),
        tuple(_old(rows, lead)),
        waits(asked=asked),
        yields(asked=asked),
        Ratio(len(closed) - lead.count, len(closed)) if closed else None,
        _reworked(closed),
        little(asked=asked, course=whole, closed=closed),
    )


def flow_course(*, asked: Asked) -> Course:
    """Give what the diagram shows."""
    return course(asked=asked, today=live(asked=asked, known=counted()))


def flow_weeks(*, asked: Asked) -> tuple[Week, ...]:
    """Give what the chart of the weeks shows."""
    whole = flow_course(asked=_of_instruments(asked))
    closed = closed_between(since=asked.since, until=asked.until)
    return weeks(course=whole, closed=closed, zone=asked.zone)


def flow_ages(*, asked: Asked) -> Ages:
    """Give all that is open, the oldest first, with what it is held against."""
    closed = closed_between(since=asked.since, until=asked.until)
    rows = open_now(closed=closed, at=asked.at)
    named = {one.stage_id: one.stage for one in rows}
    stages = tuple(named[one.id] for one in stages_named() if one.id in named)
    return Ages(asked, leads(closed=closed), tuple(rows), stages)


def _of_instruments(asked: Asked) -> Asked:
    return Asked(asked.span, None, asked.at, asked.zone)


def _old(rows: list[Open], lead: Leads) -> list[Open]:
    """Give those that are older than nearly all were when they were finished."""
    if lead.old_days is None or not lead.is_enough:
        return []
    return [one for one in rows if one.age_days > lead.old_days]


def _reworked(closed: list[Closed]) -> Ratio | None:
    if not closed:
        return None
    return Ratio(sum(one.was_reworked for one in closed), len(closed))
