"""Where do glue, lacquer and pickups come from, and when is a cutter changed?

Nothing is written here but by the shop's own verbs: a lead takes batches in, a hand
brings one to a station when the one that stands there is used up.
"""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from travelers.demo import queries
from travelers.demo.actions.living import Floor
from travelers.demo.rules.crew import STOREKEEPER
from travelers.demo.rules.tasks import Task
from travelers.floor.actions import bring_batch, take_batch_in
from travelers.routes.models import Material
from travelers.shop.actions import change_cutter
from travelers.shop.models import Person

# A cutter is changed somewhat before or after its life says so.
CHANGED_AT = (0.92, 1.06)
# A can holds a little more or less than another.
CAN = (0.8, 1.2)


@dataclass
class Stock:
    """One material: what its file says, and the code of its newest batch."""

    id: int
    said: dict[str, Any]
    newest: str = ""
    received_on: date = date.min
    count: int = 0


class Supplies:
    """What lies in the store, what stands at the stations, and what cuts there."""

    def __init__(self, floor: Floor) -> None:
        self._floor = floor
        said = queries.fixture(name="materials")
        ids = dict(Material.objects.values_list("code", "pk"))
        self._stocks = {
            ids[row["code"]]: Stock(ids[row["code"]], row) for row in said["materials"]
        }
        # What is left in the can of a material at a station, by parts.
        self._left: Counter[tuple[str, int]] = Counter()
        self._heads: dict[str, list[dict[str, Any]]] = {}
        for row in said["cutters"]:
            self._heads.setdefault(row["station"], []).append(row)
        self._until: dict[tuple[str, str], int] = {}
        self._cut: Counter[str] = Counter()
        self._cutters = 0

    def before_starting(self, task: Task, by: Person) -> None:
        """See that what a step uses stands at its station, and that cutters run."""
        for need in task.line.batches:
            key = (task.station, need.material_id)
            if self._left[key] <= 0:
                self._bring(task.station, self._stocks[need.material_id], by)
            self._left[key] -= 1
        for row in self._heads.get(task.station, ()):
            if self._cut[task.station] >= self._until.get(
                (task.station, row["head"]), 0
            ):
                self._mount(row, by)

    def after_ending(self, task: Task) -> None:
        self._cut[task.station] += 1

    def serials(self, task: Task) -> list[str]:
        """Take the pieces that a step builds in off the shelf."""
        found = []
        for need in task.line.serials:
            stock = self._stocks[need.material_id]
            for _ in range(need.pieces):
                stock.count += 1
                found.append(f"{stock.said['series']}-{stock.count:05}")
        return found

    def _bring(self, station: str, stock: Stock, by: Person) -> None:
        """Fetch a can out of the newest batch, which is ordered anew now and then."""
        floor, now = self._floor, self._floor.now
        today = floor.shop.day_shift.day_of(now)
        lasts = timedelta(days=stock.said["lasts_days"])
        if not stock.newest or today - stock.received_on > lasts:
            self._take_in(stock, today)
        bring_batch(code=stock.newest, station=floor.place(station), person=by, at=now)
        share = floor.chances.of("cans").uniform(*CAN)
        self._left[station, stock.id] = round(stock.said["opened_for"] * share)

    def _take_in(self, stock: Stock, today: date) -> None:
        stock.count += 1
        good = stock.said["good_days"]
        batch = take_batch_in(
            material_id=stock.id,
            number=f"{stock.said['series']}-{today:%y%m}-{stock.count:02}",
            received_on=today,
            expires_on=today + timedelta(days=good) if good else None,
            by=self._floor.shop.people[STOREKEEPER],
            at=self._floor.now,
        )
        stock.newest, stock.received_on = batch.code, today

    def _mount(self, row: dict[str, Any], by: Person) -> None:
        self._cutters += 1
        change_cutter(
            station_id=self._floor.place(row["station"]).id,
            head=row["head"],
            number=f"{row['series']}-{self._cutters:03}",
            life_parts=row["life_parts"],
            by=by,
            at=self._floor.now,
        )
        share = self._floor.chances.of("cutters").uniform(*CHANGED_AT)
        done = self._cut[row["station"]]
        self._until[row["station"], row["head"]] = done + round(
            row["life_parts"] * share
        )
