"""When may an order be released, and what can an instrument be?"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from travelers.kit.refusals import Refusal, gettext_noop, refusal


class InstrumentState(StrEnum):
    OPEN = "OPEN"
    FINISHED = "FINISHED"
    SCRAPPED = "SCRAPPED"


class StepState(StrEnum):
    WAITING = "WAITING"
    READY = "READY"
    RUNNING = "RUNNING"
    DWELLING = "DWELLING"
    DONE = "DONE"
    VOID = "VOID"


OPEN_STATES = (
    StepState.WAITING,
    StepState.READY,
    StepState.RUNNING,
    StepState.DWELLING,
)


class Look(StrEnum):
    """How a part in work shows on the board: by shape and word."""

    WAITING = "WAITING"
    IN_WORK = "IN_WORK"
    DWELLING = "DWELLING"
    HELD = "HELD"
    SCRAPPED = "SCRAPPED"


ORDER_NUMBER_TAKEN = refusal(
    "orders.number_taken",
    gettext_noop("There is an order {order} already."),
    gettext_noop("Open that order, or give this one another number."),
)
NO_RELEASED_ROUTE = refusal(
    "orders.no_released_route",
    gettext_noop("{model} has no released route to build by."),
    gettext_noop("Ask the route engineer to release a revision first."),
)
ALREADY_RELEASED = refusal(
    "orders.already_released",
    gettext_noop("Order {order} was released by {person} on {released_at}."),
    gettext_noop("Make another order for what is still wanted."),
)
WOOD_MISSING = refusal(
    "orders.wood_missing",
    gettext_noop("Order {order} needs {missing} more {branch_word} sets."),
    gettext_noop("Cut or choose more sets and allot them, then release."),
)
SET_TAKEN = refusal(
    "orders.set_taken",
    gettext_noop("Set {set} is allotted to order {order} already."),
    gettext_noop("Choose another set of the list."),
)
SET_HELD = refusal(
    "orders.set_held",
    gettext_noop("Set {set} has been held by QA since {since_at}."),
    gettext_noop("Choose another set, or ask QA what is wrong with its plank."),
)
SET_DOES_NOT_SUIT = refusal(
    "orders.set_does_not_suit",
    gettext_noop(
        "Set {set} is {purpose_word} wood of {pieces} pieces and does not suit."
    ),
    gettext_noop("Choose a set of {needed} {branch_word} pieces."),
)
ENOUGH_WOOD = refusal(
    "orders.enough_wood",
    gettext_noop("Order {order} has all the {branch_word} sets it needs."),
    gettext_noop("Take a set back first if another one shall go in."),
)
NOTHING_CHOSEN = refusal(
    "orders.nothing_chosen",
    gettext_noop("No set was chosen for order {order}."),
    gettext_noop("Tick the sets that shall go in, then allot them."),
    status=422,
)
PLAN_TOO_WIDE = refusal(
    "orders.plan_too_wide",
    gettext_noop("These are more ways to cut than can be looked through at once."),
    gettext_noop("Ask for fewer kinds or fewer sets of this plank."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Suits:
    """How a set suits an order; None is what nobody can say yet."""

    is_too_heavy: bool | None
    is_uneven: bool
    is_like_the_others: bool | None
    is_dry: bool | None

    @property
    def rank(self) -> tuple[bool, bool, bool, bool]:
        """Sort the best first: what speaks against a set, then what is dry already."""
        return (
            self.is_too_heavy is True,
            self.is_uneven,
            self.is_like_the_others is False,
            self.is_dry is not True,
        )


def suits(
    *,
    body_g: float | None,
    heaviest_g: int | None,
    is_uneven: bool,
    species: str,
    others: Collection[str],
    moisture_pct: Decimal | None = None,
    limit_pct: Decimal | None = None,
) -> Suits:
    """Judge a set for an order that has wood of the species ``others`` already.

    It is dry below ``limit_pct``, to which the shop's rooms dry their wood. That
    instruments of one order are alike, and that an uneven set goes last, is common
    practice, no source.
    """
    return Suits(
        None if body_g is None or heaviest_g is None else body_g > heaviest_g,
        is_uneven,
        species in others if others else None,
        None if moisture_pct is None or limit_pct is None else moisture_pct < limit_pct,
    )


def wood_missing(
    *, order: str, quantity: int, allotted: Mapping[str, int]
) -> Refusal | None:
    """Say what wood an order lacks; ``allotted`` counts the sets of each branch."""
    for branch, sets in allotted.items():
        if sets < quantity:
            return WOOD_MISSING.about(
                order=order, missing=str(quantity - sets), branch_word=str(branch)
            )
    return None
