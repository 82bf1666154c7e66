"""How is a gauge found bad, and put back into use?"""

from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.shop import rules
from travelers.shop.models import Gauge, GaugeFault, Person
from travelers.shop.rules import Role


@transaction.atomic
def find_gauge_bad(
    *, tag: str, good_until_on: date, reason: str, by: Person, at: datetime
) -> GaugeFault:
    """Take a gauge out of use; what it measured since that day is in doubt."""
    gauge = _lock(tag, by)
    if gauge.bad_since:
        said = {"gauge": gauge.name, "found_at": gauge.bad_since.isoformat()}
        raise Refused(rules.GAUGE_BAD_ALREADY.about(**said))
    if good_until_on > timezone.localdate(at):
        raise Refused(rules.GAUGE_GOOD_LATER.about(day=good_until_on.isoformat()))
    gauge.bad_since = at
    gauge.save(update_fields=["bad_since"])
    return GaugeFault.objects.create(
        gauge=gauge,
        good_until_on=good_until_on,
        reason=reason,
        found_at=at,
        found_by=by,
    )


@transaction.atomic
def put_gauge_back(
    *, tag: str, calibrated_on: date, due_on: date, by: Person, at: datetime
) -> Gauge:
    """Put a gauge back that was found bad, by a calibration since."""
    gauge = _lock(tag, by)
    if gauge.bad_since is None:
        raise Refused(rules.GAUGE_NOT_BAD.about(gauge=gauge.name))
    first, last = timezone.localdate(gauge.bad_since), timezone.localdate(at)
    if not first <= calibrated_on <= last or due_on <= max(calibrated_on, last):
        said = {"day": calibrated_on.isoformat(), "due": due_on.isoformat()}
        raise Refused(rules.GAUGE_DATES_CANNOT_BE.about(**said))
    gauge.faults.filter(ended_at__isnull=True).update(ended_at=at, ended_by=by)
    gauge.calibrated_on, gauge.due_on, gauge.bad_since = calibrated_on, due_on, None
    gauge.save(update_fields=["calibrated_on", "due_on", "bad_since"])
    return gauge


def _lock(tag: str, by: Person) -> Gauge:
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    gauge = Gauge.objects.select_for_update().filter(tag=tag).first()
    if gauge is None:
        raise Refused(NOT_FOUND)
    return gauge
