"""What happened on the floor?  The ledger, and what is read out of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.floor.rules.machine import Wish
from travelers.floor.rules.origin import Source
from travelers.kit.fields import choice, one_of
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.models import Characteristic
from travelers.shop.models import Gauge, Station, Tablet


class Event(models.Model):
    """One claim from the floor, accepted or refused; never changed, by trigger.

    ``event_id`` is made by the client and is the idempotency key.  ``digest`` is
    the SHA-256 of this row's canonical text, which names ``previous_digest``, the
    one before it of the same instrument.
    """

    seq = models.BigAutoField(primary_key=True)
    event_id = models.UUIDField(unique=True)
    kind = choice(Wish)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="events", null=True
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="events", null=True
    )
    step = models.ForeignKey(
        Step, on_delete=models.PROTECT, related_name="events", null=True
    )
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="+", null=True
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="events"
    )
    code = models.CharField(max_length=64, blank=True)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    data = models.JSONField()
    accepted = models.BooleanField()
    refusal = models.CharField(max_length=40, blank=True)
    came_late = models.BooleanField()
    allowed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    allowed_reason = models.CharField(max_length=200, blank=True)
    corrects = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="corrected_by", null=True
    )
    # How it came in: the tablet's own count of its events and what its clock said,
    # which `happened_at` is mended from; who typed in what stood on paper.
    tablet = models.ForeignKey(
        Tablet,
        on_delete=models.PROTECT,
        related_name="events",
        null=True,
        db_index=False,
    )
    tablet_number = models.PositiveBigIntegerField(null=True)
    tablet_at = models.DateTimeField(null=True)
    source = choice(Source, default=Source.SCREEN)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        db_index=False,
    )
    wish_digest = models.CharField(max_length=64)
    previous_digest = models.CharField(max_length=64, blank=True)
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Wish, "kind"), name="event_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(accepted=True, refusal="")
                | Q(accepted=False) & ~Q(refusal=""),
                name="event_refused_says_why",
            ),
            models.CheckConstraint(
                condition=Q(allowed_by__isnull=True, allowed_reason="")
                | Q(allowed_by__isnull=False) & ~Q(allowed_reason=""),
                name="event_allowed_has_who_and_why",
            ),
            models.CheckConstraint(
                condition=Q(accepted=False) | Q(instrument__isnull=False),
                name="event_accepted_is_of_an_instrument",
            ),
            models.CheckConstraint(
                condition=Q(kind="UNDO", accepted=True, corrects__isnull=False)
                | ~Q(kind="UNDO", accepted=True) & Q(corrects__isnull=True),
                name="event_undo_names_what_it_corrects",
            ),
            models.UniqueConstraint(fields=["corrects"], name="event_corrected_once"),
            models.CheckConstraint(
                condition=one_of(Source, "source"), name="event_source_known"
            ),
            models.CheckConstraint(
                condition=~Q(source=Source.PAPER) | Q(entered_by__isnull=False),
                name="event_from_paper_says_who_entered_it",
            ),
        ]
        indexes = [
            models.Index(fields=["instrument", "seq"], name="event_of_instrument"),
            models.Index(fields=["step", "seq"], name="event_of_step"),
            models.Index(fields=["station", "happened_at"], name="event_of_station"),
            models.Index(
                fields=["tablet", "tablet_number"],
                condition=Q(tablet_number__isnull=False),
                name="event_of_tablet",
            ),
            models.Index(
                fields=["seq"], condition=Q(kind="UNDO"), name="event_that_undoes"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.seq} {self.kind}"


class Reading(models.Model):
    """A value of a characteristic at a place, with its verdict; never changed."""

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="readings")
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="readings"
    )
    place = models.PositiveSmallIntegerField()
    value = models.DecimalField(max_digits=14, decimal_places=4)
    unit = models.CharField(max_length=12, blank=True)
    verdict = models.CharField(max_length=6)
    gauge = models.ForeignKey(
        Gauge, on_delete=models.PROTECT, related_name="readings", null=True
    )
    in_calibration = models.BooleanField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "characteristic", "place"],
                name="reading_once_an_event_and_place",
            ),
            models.CheckConstraint(
                condition=Q(verdict__in=["INSIDE", "LOW", "HIGH"]),
                name="reading_verdict_known",
            ),
            models.CheckConstraint(
                condition=Q(gauge__isnull=True, in_calibration__isnull=True)
                | Q(gauge__isnull=False, in_calibration__isnull=False),
                name="reading_gauge_says_calibration",
            ),
        ]
        indexes = [
            models.Index(
                fields=["characteristic", "place", "id"], name="reading_of_check"
            )
        ]

    def __str__(self) -> str:
        return f"{self.event_id} {self.characteristic_id} {self.place}"


class Hold(models.Model):
    """A stop on an instrument or one of its parts; open until it is lifted."""

    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="hold")
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="holds"
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="holds", null=True
    )
    reason = models.CharField(max_length=200)
    lifted = models.OneToOneField(
        Event, on_delete=models.PROTECT, related_name="lifted_hold", null=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="hold_has_a_reason")
        ]
        indexes = [
            models.Index(
                fields=["instrument"],
                condition=Q(lifted__isnull=True),
                name="hold_open_of_instrument",
            )
        ]

    def __str__(self) -> str:
        return f"{self.instrument_id} {self.reason}"


class Load(models.Model):
    """Parts that were put into one station together, to dry, to cure, to be pressed."""

    id = models.UUIDField(primary_key=True)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="loads")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    begun_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.station_id} {self.begun_at:%Y-%m-%d %H:%M}"


class Stay(models.Model):
    """One part's time in a load, from its event; open until another took it out."""

    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="stays")
    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="stays")
    event = models.OneToOneField(Event, on_delete=models.PROTECT, related_name="stay")
    taken_out = models.OneToOneField(
        Event, on_delete=models.PROTECT, related_name="ended_stay", null=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["step"],
                condition=Q(taken_out__isnull=True),
                name="stay_open_once_a_step",
            )
        ]

    def __str__(self) -> str:
        return f"{self.load_id} {self.step_id}"
