"""How do the steps of a rework get into a part's way?"""

from collections.abc import Sequence

from travelers.orders.models import Step


def insert_rework(*, part_id: int, after: int, operations: Sequence[int]) -> list[Step]:
    """Put one more turn of ``operations`` behind the step at position ``after``.

    Each operation comes once, a repeated one with a single repeat; what was done
    stays on record.  The caller holds the instrument's lock.
    """
    whole = list(Step.objects.filter(part_id=part_id).order_by("position"))
    model = {step.operation_id: step for step in whole}
    turn = 1 + max(step.turn for step in whole)
    following = [step.position for step in whole if step.position > after]
    room = min(following, default=after + 1000) - after
    if room <= len(operations):
        raise ValueError(f"no room for {len(operations)} steps behind {after}")
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
