"""Which parts lay in which load, by the ledger alone?  Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from travelers.floor.rules.fold import Told, standing
from travelers.floor.rules.machine import Wish


@dataclass(frozen=True, slots=True)
class StayTold:
    """A part's time in a load: the events that put it in and took it out."""

    load: str
    step_id: int | None
    put_in: str
    taken_out: str | None = None


def stays(events: Iterable[Told]) -> list[StayTold]:
    """Read the stays of an instrument's parts from its accepted events, in order.

    A part that was loaded alone names no load and has no stay; what was taken back
    is left out.
    """
    ended: list[StayTold] = []
    lying: dict[int | None, StayTold] = {}
    for told in standing(events):
        if told.kind is Wish.LOAD and told.data.get("load"):
            lying[told.step_id] = StayTold(
                told.data["load"], told.step_id, told.event_id
            )
        elif told.kind is Wish.TAKE_OUT and told.step_id in lying:
            stay = lying.pop(told.step_id)
            ended.append(replace(stay, taken_out=told.event_id))
    return [*ended, *lying.values()]
