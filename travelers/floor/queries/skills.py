"""May this person do this kind of work at this stage?"""

from datetime import datetime

from django.db.models import Exists, Q
from django.utils import timezone

from travelers.floor.rules.bench import Bench, StepNow
from travelers.shop.models import NeedsQualification, Person, Qualification


def asks_any_skill() -> bool:
    """Say whether the shop asks for a qualification anywhere."""
    return NeedsQualification.objects.exists()


def is_qualified(*, bench: Bench, step: StepNow, person: Person, at: datetime) -> bool:
    """Say whether nothing is asked for a step, or the person has it on that day.

    No query in a shop that asks for nothing, as the bench tells.
    """
    if not bench.asks_skill:
        return True
    asked = {
        "stage_id": step.stage_id,
        "kind": bench.route.by_id[step.operation_id].kind,
    }
    in_force = Q(until=None) | Q(until__gte=timezone.localdate(at))
    has = Qualification.objects.filter(in_force, person_id=person.pk, **asked)
    return not NeedsQualification.objects.filter(~Exists(has), **asked).exists()
