"""How does the demo's wood come in, and how is it cut and promised to orders?"""

from collections import defaultdict
from datetime import date
from decimal import Decimal
from typing import Any

from travelers.demo import queries
from travelers.demo.actions.setting_up import Shop
from travelers.lumber.actions import accept_delivery, cut_sets
from travelers.lumber.models import Plank, Species, Supplier
from travelers.lumber.rules import Cut, Purpose, Sawn
from travelers.orders.actions import allot


def accept_wood(*, shop: Shop) -> None:
    """Take in every delivery, on the first workday from the day in the file on."""
    said = queries.fixture(name="lumber")
    species = {row["code"]: Species.objects.create(**row).pk for row in said["species"]}
    suppliers = {
        row["code"]: Supplier.objects.create(**row).pk for row in said["suppliers"]
    }
    count: dict[int, int] = defaultdict(int)
    for row in sorted(said["deliveries"], key=lambda row: str(row["received_on"])):
        day = shop.day_shift.workday_from(shop.moved(row["received_on"]))
        count[day.year] += 1
        accept_delivery(
            number=f"D{day:%y}-{count[day.year]:02}",
            supplier_id=suppliers[row["supplier"]],
            species_id=species[row["species"]],
            received_on=day,
            papers=row["papers"],
            trade_papers=row["trade_papers"],
            planks=[_sawn(plank) for plank in row["planks"]],
        )


def _sawn(row: dict[str, int]) -> Sawn:
    return Sawn(
        Decimal(row["length_mm"]),
        Decimal(row["width_mm"]),
        Decimal(row["thickness_mm"]),
        row["mass_g"],
    )


class Yard:
    """The wood that can be cut, eldest first, and the sets that lie cut."""

    def __init__(self) -> None:
        self._needs: dict[tuple[str, str], dict[str, Any]] = {}
        self._planks: dict[str, list[Plank]] = defaultdict(list)
        self._sets: dict[tuple[str, str], list[int]] = defaultdict(list)
        for name in ("tern", "heron"):
            said = queries.fixture(name=name)
            for wood in said["wood"]:
                self._needs[said["code"], wood["branch"]] = wood
        for plank in Plank.objects.select_related("delivery__species").order_by(
            "delivery__received_on", "pk"
        ):
            self._planks[plank.delivery.species.code].append(plank)

    def allot(self, *, model: str, order_id: int, quantity: int, on: date) -> None:
        """Promise an order all its wood; whole planks are cut as they are needed."""
        for branch in ("BODY", "NECK"):
            for _ in range(quantity):
                own = self.take(model=model, branch=branch, on=on)
                allot(order_id=order_id, plank_set_id=own)

    def take(self, *, model: str, branch: str, on: date) -> int:
        """Take a set that lies cut, or cut the next plank."""
        sets = self._sets[model, branch]
        if not sets:
            sets += self._cut(self._needs[model, branch], on)
        return sets.pop(0)

    def _cut(self, need: dict[str, Any], on: date) -> list[int]:
        plank = self._next_plank(need["species"], on)
        length, width, thickness = map(Decimal, need["piece_mm"])
        cut = Cut(need["pieces"], length, width, thickness)
        sets = cut_sets(
            plank_id=plank.pk,
            purpose=Purpose(need["branch"]),
            cut=cut,
            count=need["sets_per_plank"],
            cut_on=on,
        )
        return [plank_set.pk for plank_set in sets]

    def _next_plank(self, species: list[str], on: date) -> Plank:
        """Take the eldest plank that has come by then, whatever of these it is."""
        there = [self._planks[code][0] for code in species if self._planks[code]]
        eldest = min(there, key=lambda plank: (plank.delivery.received_on, plank.pk))
        if eldest.delivery.received_on > on:
            raise ValueError(f"no plank of {species} has come by {on}")
        return self._planks[eldest.delivery.species.code].pop(0)
