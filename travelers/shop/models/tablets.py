"""Which tablets are let in, and who is signed in where?"""

from importlib import import_module
from typing import Any, cast

from django.conf import settings
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.db.models import F, Q

from travelers.shop.models.people import Person
from travelers.shop.models.places import Station


class Tablet(models.Model):
    """A tablet that a lead let in once; it opens its station's screens only.

    Of its token only the SHA-256 is kept.
    """

    name = models.CharField(max_length=40, unique=True)
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="tablets"
    )
    token_digest = models.CharField(max_length=64, unique=True)
    # Written now and then, not at every request.
    heard_at = models.DateTimeField(null=True, blank=True)
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


class Invitation(models.Model):
    """A code that lets one tablet in at a station, once and for a short while."""

    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="invitations"
    )
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="invitations"
    )
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(made_at__lt=F("ends_at")),
                name="invitation_made_before_it_ends",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station} {self.made_at:%Y-%m-%d %H:%M}"


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


class PinTry(models.Model):
    """Wrong PINs for one number at one tablet, whether it is somebody's or not."""

    tablet = models.ForeignKey(
        Tablet, on_delete=models.PROTECT, related_name="pin_tries"
    )
    number = models.CharField(max_length=4)
    failures = models.PositiveSmallIntegerField()
    last_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["tablet", "number"], name="pin_try_counted_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tablet} {self.number} {self.failures}"
