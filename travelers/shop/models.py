"""Who works here, where, in which hours and with which gauges?"""

from collections.abc import Iterable
from importlib import import_module
from typing import Any, cast

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models import F, Q

from travelers.kit.fields import choice, one_of
from travelers.shop.rules import OverdueGauges, Role


class Person(AbstractUser):
    """Somebody who signs in; one column a role, so that asking costs no query."""

    initials = models.CharField(max_length=4, unique=True, null=True, blank=True)
    is_operator = models.BooleanField(default=False)
    is_lead = models.BooleanField(default=False)
    is_planner = models.BooleanField(default=False)
    is_qa = models.BooleanField(default=False)
    is_route_engineer = models.BooleanField(default=False)
    is_admin = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(initials=""), name="person_initials_not_empty"
            ),
        ]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    def has(self, role: str) -> bool:
        return bool(getattr(self, f"is_{Role(role)}"))

    def has_perm(self, perm: str, obj: Any = None) -> bool:
        """Say yes to an admin: at the back door a role decides, not a permission."""
        return self.is_active and (self.is_admin or super().has_perm(perm, obj))

    def has_module_perms(self, app_label: str) -> bool:
        return self.is_active and (self.is_admin or super().has_module_perms(app_label))

    @property
    def roles(self) -> tuple[Role, ...]:
        return tuple(role for role in Role if self.has(role))

    @staticmethod
    def columns_of(roles: Iterable[str]) -> dict[str, bool]:
        return {f"is_{Role(role)}": True for role in roles}


class Stage(models.Model):
    """One stretch of the way from plank to test play; a fret on the board."""

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField(unique=True)

    def __str__(self) -> str:
        return self.code


class Shift(models.Model):
    """The hours in which attended stations work; days are ISO weekdays, 1 = Monday."""

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    weekdays = models.CharField(max_length=7)
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(starts__lt=F("ends")), name="shift_starts_before_it_ends"
            ),
            models.CheckConstraint(
                condition=Q(weekdays__regex=r"^[1-7]{1,7}$"), name="shift_has_weekdays"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ClosedDay(models.Model):
    day = models.DateField(unique=True)
    reason = models.CharField(max_length=80)

    def __str__(self) -> str:
        return self.day.isoformat()


class Station(models.Model):
    """A place where parts are worked on (attended) or lie (holding)."""

    code = models.CharField(max_length=12, unique=True)
    tag = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=60)
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="stations")
    attended = models.BooleanField()
    places = models.PositiveSmallIntegerField()
    shift = models.ForeignKey(
        Shift, on_delete=models.PROTECT, related_name="stations", null=True, blank=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(places__gte=1), name="station_has_a_place"
            ),
            models.CheckConstraint(
                condition=Q(attended=False) | Q(shift__isnull=False),
                name="station_attended_has_a_shift",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Tablet(models.Model):
    """A tablet that a lead let in once; it opens its station's screens only.

    Of its token only the SHA-256 is kept.
    """

    name = models.CharField(max_length=40, unique=True)
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="tablets"
    )
    token_digest = models.CharField(max_length=64, unique=True)
    enrolled_at = models.DateTimeField()
    enrolled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="tablets_enrolled"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        Person,
        on_delete=models.PROTECT,
        related_name="tablets_revoked",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False),
                name="tablet_revoked_says_by_whom",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Session(AbstractBaseSession):
    """A signed-in session with whose it is, so that both are read at once."""

    person = models.ForeignKey(
        Person, on_delete=models.CASCADE, related_name="sessions", null=True
    )
    tablet = models.ForeignKey(
        Tablet, on_delete=models.CASCADE, related_name="sessions", null=True
    )

    @classmethod
    def get_session_store_class(cls) -> type[SessionBase]:
        engine: Any = import_module(settings.SESSION_ENGINE)
        return cast("type[SessionBase]", engine.SessionStore)


class Gauge(models.Model):
    """A measuring instrument; ISO 10012 calls its check metrological confirmation."""

    tag = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=30)
    unit = models.CharField(max_length=12)
    resolution = models.DecimalField(max_digits=9, decimal_places=4)
    calibrated_on = models.DateField()
    due_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(calibrated_on__lt=F("due_on")),
                name="gauge_calibrated_before_due",
            ),
            models.CheckConstraint(
                condition=Q(resolution__gt=0), name="gauge_resolution_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class HouseRules(models.Model):
    """What this shop has decided for itself; one row, or none for the usual."""

    overdue_gauges = choice(OverdueGauges, default=OverdueGauges.REFUSE)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "house rules"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="house_rules_are_one_row"),
            models.CheckConstraint(
                condition=one_of(OverdueGauges, "overdue_gauges"),
                name="house_rules_overdue_gauges_known",
            ),
        ]

    def __str__(self) -> str:
        return f"overdue gauges: {self.overdue_gauges}"


class Counter(models.Model):
    """The last number given out of each series, so that numbers never repeat."""

    series = models.CharField(max_length=12, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series} {self.last}"
