"""Did a part meet what is bad in this history?"""

from travelers.demo import queries
from travelers.demo.actions.living import Floor
from travelers.demo.actions.measuring import spare_gauge
from travelers.demo.rules.planting import Bad, Cause
from travelers.demo.rules.tasks import Task
from travelers.floor import queries as on_floor

# The first delivery of this species glues up badly.
SPECIES = "ALDER"
# The room whose fullest load came out too wet.
ROOM = "DRY-A"
# The meter that reads too dry is not the one that lies where most is read.
METER, READ_AT = "moisture_meter", "MOIST-1"
# The first can of these is bad, and the first cutter of this head.
MATERIAL = {Bad.GLUE: "Body glue", Bad.LACQUER: "Clear lacquer"}
HEAD = "outline"


class Planted:
    """One bad thing; which it is becomes settled once a part could show it."""

    def __init__(self, floor: Floor, cause: Cause) -> None:
        self._floor = floor
        self._cause = cause
        self._thing: str | None = None

    def defect_of(self, task: Task) -> str:
        """Give the kind of defect that the bad thing made here, or nothing."""
        code = self._cause.shows_at(task.line)
        if not code or not self._met(task):
            return ""
        struck = self._floor.chances.happens("planted", self._cause.share)
        return code if struck else ""

    def _met(self, task: Task) -> bool:
        met = self._things_met(task)
        if self._thing is None:
            self._thing = self._settle(met)
        return self._thing in met

    def _things_met(self, task: Task) -> set[str]:
        wood, ids = self._floor.wood_of(task), [task.step.part_id]
        match self._cause.bad:
            case Bad.DELIVERY:
                return {wood.delivery} if wood else set()
            case Bad.PLANK:
                return {wood.plank} if wood else set()
            case Bad.LOAD:
                lay_in = on_floor.loads_met(part_ids=ids)
                return {str(load) for _, load, _ in lay_in}
            case Bad.GAUGE:
                read_by = on_floor.gauges_met(part_ids=ids)
                return {str(gauge) for _, gauge, _ in read_by}
            case _:
                return self._supplies_met(ids)

    def _supplies_met(self, ids: list[int]) -> set[str]:
        if self._cause.bad is Bad.CUTTER:
            ran = [cutter for _, cutter, _ in on_floor.cutters_met(part_ids=ids)]
            return queries.cutter_numbers(cutter_ids=ran, head=HEAD)
        used = {batch for _, batch, _ in on_floor.batches_met(part_ids=ids)}
        named = on_floor.batches_named(batch_ids=used)
        wanted = MATERIAL[self._cause.bad]
        return {one.number for one in named if one.material == wanted}

    def _settle(self, met: set[str]) -> str | None:
        match self._cause.bad:
            case Bad.DELIVERY:
                return queries.delivery_number(species=SPECIES)
            case Bad.PLANK:
                return queries.plank_of_most_sets()
            case Bad.LOAD:
                return on_floor.fullest_load(station=ROOM)
            case Bad.GAUGE:
                return str(spare_gauge(self._floor, READ_AT, METER).pk)
            case _:
                return min(met, default=None)
