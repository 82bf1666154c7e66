"""What happened on the floor?  The ledger, and what is read out of it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce

from travelers.floor.rules.machine import Wish
from travelers.floor.rules.origin import Source
from travelers.floor.rules.pins import LONGEST_PIN
from travelers.kit.fields import choice, one_of
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.models import Characteristic, Material, MaterialNeed
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


class Batch(models.Model):
    """What was bought of a material in one batch; ``number`` is its maker's.

    ``code`` is on the label that the shop puts on it.
    """

    code = models.CharField(max_length=8, unique=True)
    material = models.ForeignKey(
        Material, on_delete=models.PROTECT, related_name="batches"
    )
    number = models.CharField(max_length=24)
    received_on = models.DateField()
    expires_on = models.DateField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True)
    taken_in_at = models.DateTimeField()
    taken_in_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        verbose_name_plural = "batches"
        constraints = [
            models.UniqueConstraint(
                fields=["material", "number"], name="batch_number_once_a_material"
            ),
            models.CheckConstraint(condition=~Q(number=""), name="batch_has_a_number"),
            models.CheckConstraint(
                condition=Q(expires_on__isnull=True)
                | Q(expires_on__gte=F("received_on")),
                name="batch_received_before_it_expires",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material_id} {self.number}"


class BatchHold(models.Model):
    """A stop on a batch; open until it is lifted.  ``uuid`` is made by who holds."""

    uuid = models.UUIDField(unique=True)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=200)
    held_at = models.DateTimeField()
    held_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    lifted_at = models.DateTimeField(null=True)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    lifted_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""), name="batch_hold_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(
                    lifted_at__isnull=True, lifted_by__isnull=True, lifted_reason=""
                )
                | Q(lifted_at__isnull=False, lifted_by__isnull=False)
                & ~Q(lifted_reason=""),
                name="batch_hold_lifted_says_who_and_why",
            ),
        ]
        indexes = [
            models.Index(
                fields=["batch"],
                condition=Q(lifted_at__isnull=True),
                name="batch_hold_open",
            )
        ]

    def __str__(self) -> str:
        return f"{self.batch_id} {self.reason}"


class BatchAtStation(models.Model):
    """From a moment on a station works with a batch, until another of it comes."""

    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="batches", db_index=False
    )
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="stations")
    began_at = models.DateTimeField()
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        indexes = [
            models.Index(fields=["station", "began_at"], name="batch_at_station"),
        ]

    def __str__(self) -> str:
        return f"{self.station_id} {self.batch_id}"


class MaterialUse(models.Model):
    """What a press used: a batch, or a piece with its serial number; never changed."""

    event = models.ForeignKey(Event, on_delete=models.PROTECT, related_name="uses")
    need = models.ForeignKey(
        MaterialNeed, on_delete=models.PROTECT, related_name="uses"
    )
    batch = models.ForeignKey(
        Batch, on_delete=models.PROTECT, related_name="uses", null=True
    )
    serial = models.CharField(max_length=24, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["event", "need", "serial"], name="use_once_an_event"
            ),
            models.CheckConstraint(
                condition=Q(batch__isnull=False, serial="")
                | Q(batch__isnull=True) & ~Q(serial=""),
                name="use_is_of_a_batch_or_a_serial",
            ),
        ]
        indexes = [
            models.Index(
                fields=["serial"], condition=~Q(serial=""), name="use_of_serial"
            )
        ]

    def __str__(self) -> str:
        return f"{self.event_id} {self.batch_id or self.serial}"


class Pin(models.Model):
    """What a planner put first, in one station's list or in all, until a day.

    Without a part it is of the whole instrument, without a station of all lists.
    ``uuid`` is made by who pins.  A pin is over after ``until_on``, once it is lifted,
    or when nothing is left to be done where it counts.
    """

    uuid = models.UUIDField(unique=True)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="pins", db_index=False
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="pins", null=True, db_index=False
    )
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="+", null=True, db_index=False
    )
    reason = models.CharField(max_length=LONGEST_PIN)
    until_on = models.DateField()
    pinned_at = models.DateTimeField()
    pinned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    lifted_at = models.DateTimeField(null=True)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="pin_has_a_reason"),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True, lifted_by__isnull=True)
                | Q(lifted_at__isnull=False, lifted_by__isnull=False),
                name="pin_lifted_says_who",
            ),
            models.UniqueConstraint(
                F("instrument"),
                Coalesce("part", 0),
                Coalesce("station", 0),
                condition=Q(lifted_at__isnull=True),
                name="pin_open_once",
            ),
        ]
        indexes = [
            models.Index(
                fields=["instrument"],
                condition=Q(lifted_at__isnull=True),
                name="pin_open_of_instrument",
            )
        ]

    def __str__(self) -> str:
        return f"{self.instrument_id} {self.reason}"
