"""Which free wood could each of some orders have, no set twice?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from travelers.orders.models import Allotment, WorkOrder
from travelers.orders.queries.wood import SetSeen, best_first
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class Proposed:
    """Wood of one branch of an order: what it has, and free sets for what it lacks."""

    branch: Branch
    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    wanted: int
    given: int
    sets: tuple[SetSeen, ...]

    @property
    def missing(self) -> int:
        """Say how many sets there are nowhere."""
        return self.wanted - self.given - len(self.sets)

    @property
    def species(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(one.species for one in self.sets))


def proposed_wood(*, numbers: Sequence[str]) -> dict[str, tuple[Proposed, ...]]:
    """Propose wood for orders that are not released; the first named chooses first.

    1. What suits is asked once for each model and branch, the best first.
    2. Sets too heavy for the model are left out: somebody may still choose them.
    3. An order is of one species where that has enough: of what it has already, else
       of the species whose set is the best.
    """
    orders = {
        one.number: one
        for one in WorkOrder.objects.filter(number__in=numbers, released_at=None)
        .select_related("revision")
        .order_by("id")
    }
    needs = WoodNeed.objects.select_related("model").order_by("model_id", "branch")
    given: dict[tuple[int, str], list[str]] = {}
    for order_id, branch, species in (
        Allotment.objects.filter(order__in=orders.values())
        .order_by("position")
        .values_list("order_id", "branch", "plank_set__plank__delivery__species__name")
    ):
        given.setdefault((order_id, branch), []).append(species)
    by_model: dict[int, list[WoodNeed]] = {}
    for need in needs:
        by_model.setdefault(need.model_id, []).append(need)
    yard = _Yard({}, set())
    found = {}
    for number in numbers:
        order = orders.get(number)
        if order is not None:
            found[number] = tuple(
                yard.choose(order, need, given.get((order.pk, need.branch), []))
                for need in by_model.get(order.revision.model_id, ())
            )
    return found


@dataclass(slots=True)
class _Yard:
    """The free sets as each need sees them, and what was proposed of them."""

    seen: dict[int, list[SetSeen]]
    taken: set[int]

    def choose(
        self, order: WorkOrder, need: WoodNeed, given: Sequence[str]
    ) -> Proposed:
        lacks = max(0, order.quantity - len(given))
        if need.pk not in self.seen and lacks:
            free = best_first(need=need, others=())
            self.seen[need.pk] = [one for one in free if not one.suits.is_too_heavy]
        free = [one for one in self.seen.get(need.pk, ()) if one.id not in self.taken]
        chosen = _of_one_species(free, lacks, given)
        self.taken |= {one.id for one in chosen}
        return Proposed(
            Branch(need.branch),
            need.pieces,
            need.length_mm,
            need.width_mm,
            need.thickness_mm,
            order.quantity,
            len(given),
            tuple(chosen),
        )


def _of_one_species(
    free: Sequence[SetSeen], lacks: int, given: Sequence[str]
) -> list[SetSeen]:
    """Choose sets of one species where there are enough, else the best of all."""
    if given:
        like = [
            replace(
                one, suits=replace(one.suits, is_like_the_others=one.species in given)
            )
            for one in free
        ]
        return sorted(like, key=lambda one: one.suits.rank)[:lacks]
    for species in dict.fromkeys(one.species for one in free):
        own = [one for one in free if one.species == species]
        if len(own) >= lacks:
            return own[:lacks]
    return list(free[:lacks])
