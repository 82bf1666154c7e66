"""How do the steps of a rework get into a part's way?"""

from collections.abc import Sequence

from travelers.orders.models import Step

# Behind the last step of a part, and between any two, there is always room again.
ROOM = 1000


def insert_rework(*, part_id: int, after: int, operations: Sequence[int]) -> list[Step]:
    """Put one more turn of ``operations`` behind the step at position ``after``.

    Each operation comes once, a repeated one with a single repeat; what was done
    stays on record.  Where rework of rework has used up the room between two
    steps, those that follow move up.  The caller holds the instrument's lock.
    """
    whole = list(Step.objects.filter(part_id=part_id).order_by("position"))
    model = {step.operation_id: step for step in whole}
    turn = 1 + max(step.turn for step in whole)
    _make_room([step for step in whole if step.position > after], after, operations)
    return Step.objects.bulk_create(
        Step(
            instrument_id=model[operation].instrument_id,
            part_id=part_id,
            operation_id=operation,
            position=after + offset,
            repeat=1,
            turn=turn,
            stage_id=model[operation].stage_id,
            station_id=model[operation].station_id,
        )
        for offset, operation in enumerate(operations, start=1)
    )


def _make_room(following: list[Step], after: int, operations: Sequence[int]) -> None:
    """Move the following steps up, the last first, as no two may share a place."""
    if not following or following[0].position - after > len(operations):
        return
    for step in reversed(following):
        Step.objects.filter(pk=step.pk).update(position=step.position + ROOM)
