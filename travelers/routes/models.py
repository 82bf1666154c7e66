"""What is the way of a model through the shop, in which revision?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.formulas import codes
from travelers.kit.fields import choice, one_of
from travelers.routes.rules import (
    Branch,
    CheckKind,
    Joins,
    OperationKind,
    RevisionState,
    Traced,
    Usual,
)
from travelers.shop.models import Stage, Station


class InstrumentModel(models.Model):
    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    shape = models.CharField(max_length=20)
    serial_prefix = models.CharField(max_length=4, unique=True)
    scale_mm = models.DecimalField(max_digits=6, decimal_places=2)
    strings = models.PositiveSmallIntegerField()
    frets = models.PositiveSmallIntegerField()
    # Of the finished body, wood alone; empty until somebody knows it.
    body_volume_cm3 = models.PositiveIntegerField(null=True, blank=True)
    heaviest_body_g = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(scale_mm__gt=0, strings__gte=1, frets__gte=1),
                name="model_has_scale_strings_frets",
            ),
            models.CheckConstraint(
                condition=(Q(body_volume_cm3__isnull=True) | Q(body_volume_cm3__gt=0))
                & (Q(heaviest_body_g__isnull=True) | Q(heaviest_body_g__gt=0)),
                name="model_body_is_something",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Finish(models.Model):
    """A finish that a model is offered in."""

    model = models.ForeignKey(
        InstrumentModel, on_delete=models.CASCADE, related_name="finishes"
    )
    name = models.CharField(max_length=40)

    class Meta:
        verbose_name_plural = "finishes"
        constraints = [
            models.UniqueConstraint(
                fields=["model", "name"], name="finish_once_a_model"
            )
        ]

    def __str__(self) -> str:
        return f"{self.model_id} {self.name}"


class WoodNeed(models.Model):
    """How many pieces of what size a branch of a model is made of."""

    model = models.ForeignKey(
        InstrumentModel, on_delete=models.CASCADE, related_name="wood_needs"
    )
    branch = choice(Branch)
    pieces = models.PositiveSmallIntegerField()
    length_mm = models.DecimalField(max_digits=8, decimal_places=2)
    width_mm = models.DecimalField(max_digits=8, decimal_places=2)
    thickness_mm = models.DecimalField(max_digits=8, decimal_places=2)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["model", "branch"], name="wood_need_once_a_branch"
            ),
            models.CheckConstraint(
                condition=Q(branch__in=[Branch.BODY, Branch.NECK])
                & Q(pieces__gte=1, length_mm__gt=0, width_mm__gt=0, thickness_mm__gt=0),
                name="wood_need_has_pieces",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model_id} {self.branch}"


class Revision(models.Model):
    """A model's route at one time; once released it never changes, by trigger."""

    model = models.ForeignKey(
        InstrumentModel, on_delete=models.PROTECT, related_name="revisions"
    )
    number = models.CharField(max_length=6)
    state = choice(RevisionState, default=RevisionState.DRAFT)
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["model", "number"], name="revision_number_once_a_model"
            ),
            models.UniqueConstraint(
                fields=["model"],
                condition=Q(state=RevisionState.RELEASED),
                name="revision_released_once_a_model",
            ),
            models.CheckConstraint(
                condition=Q(
                    state=RevisionState.DRAFT,
                    released_at__isnull=True,
                    released_by__isnull=True,
                    retired_at__isnull=True,
                )
                | Q(
                    state=RevisionState.RELEASED,
                    released_at__isnull=False,
                    released_by__isnull=False,
                    retired_at__isnull=True,
                )
                | Q(
                    state=RevisionState.RETIRED,
                    released_at__isnull=False,
                    released_by__isnull=False,
                    retired_at__isnull=False,
                ),
                name="revision_who_and_when_fit_state",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model_id}-{self.number}"


class Operation(models.Model):
    """One line of the route.  Within a branch the numbers say the order."""

    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, related_name="operations"
    )
    branch = choice(Branch)
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=60)
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="+")
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    kind = choice(OperationKind)
    joins = choice(Joins, default=Joins.NOTHING)
    planned_s = models.PositiveIntegerField()
    shortest_dwell_s = models.PositiveIntegerField(default=0)
    longest_gap_s = models.PositiveIntegerField(null=True, blank=True)
    times = models.PositiveSmallIntegerField(default=1)
    shortest_between_s = models.PositiveIntegerField(null=True, blank=True)
    longest_between_s = models.PositiveIntegerField(null=True, blank=True)
    instruction = models.TextField(blank=True)
    picture = models.CharField(max_length=20, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "branch", "number"],
                name="operation_number_once_a_branch",
            ),
            models.CheckConstraint(
                condition=one_of(Branch, "branch") & one_of(OperationKind, "kind"),
                name="operation_branch_and_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(kind=OperationKind.JOIN)
                & Q(joins__in=[Joins.PIECES, Joins.BRANCHES])
                | ~Q(kind=OperationKind.JOIN) & Q(joins=Joins.NOTHING),
                name="operation_join_says_what",
            ),
            models.CheckConstraint(
                condition=~Q(kind=OperationKind.HOLD) | Q(shortest_dwell_s__gt=0),
                name="operation_hold_has_a_dwell",
            ),
            models.CheckConstraint(
                condition=Q(times__gte=1)
                & (
                    Q(times__gt=1)
                    | Q(shortest_between_s__isnull=True, longest_between_s__isnull=True)
                ),
                name="operation_gaps_between_only_when_repeated",
            ),
            models.CheckConstraint(
                condition=Q(shortest_between_s__isnull=True)
                | Q(longest_between_s__isnull=True)
                | Q(shortest_between_s__lte=F("longest_between_s")),
                name="operation_shortest_between_below_longest",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.branch} {self.number} {self.name}"


class Precedence(models.Model):
    """``after`` waits for ``before``, across branches of one revision."""

    before = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="followers"
    )
    after = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="waits_for"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["before", "after"], name="precedence_once"),
            models.CheckConstraint(
                condition=~Q(before=F("after")), name="precedence_not_of_itself"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before_id} > {self.after_id}"


class Characteristic(models.Model):
    """What an operation checks, with the limits of this revision."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="characteristics"
    )
    code = models.CharField(max_length=20)
    name = models.CharField(max_length=60)
    kind = choice(CheckKind)
    unit = models.CharField(max_length=12, blank=True)
    nominal = models.DecimalField(
        max_digits=12, decimal_places=4, null=True, blank=True
    )
    lower = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    upper = models.DecimalField(max_digits=12, decimal_places=4, null=True, blank=True)
    decimals = models.PositiveSmallIntegerField(default=2)
    places = models.PositiveSmallIntegerField(default=1)
    place_name = models.CharField(max_length=20, blank=True)
    every_nth = models.PositiveSmallIntegerField(default=1)
    gauge_kind = models.CharField(max_length=30, blank=True)
    charted = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["operation", "code"], name="characteristic_once_an_operation"
            ),
            models.CheckConstraint(
                condition=(
                    Q(lower__isnull=True)
                    | Q(upper__isnull=True)
                    | Q(lower__lt=F("upper"))
                )
                & (
                    Q(nominal__isnull=True)
                    | (Q(lower__isnull=True) | Q(lower__lte=F("nominal")))
                    & (Q(upper__isnull=True) | Q(nominal__lte=F("upper")))
                ),
                name="characteristic_limits_in_order",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind=CheckKind.JUDGED, lower__isnull=True, upper__isnull=True
                )
                | Q(kind=CheckKind.COUNTED)
                | Q(kind=CheckKind.MEASURED)
                & ~Q(unit="")
                & (Q(lower__isnull=False) | Q(upper__isnull=False)),
                name="characteristic_measured_has_unit_and_limit",
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1, every_nth__gte=1),
                name="characteristic_has_a_place",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation_id} {self.code}"


class Caution(models.Model):
    """What can hurt at an operation; ``sign`` is an ISO 7010 code."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="cautions"
    )
    sign = models.CharField(max_length=4)
    sentence = models.CharField(max_length=160)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["operation", "sign"], name="caution_sign_once_an_operation"
            ),
            models.CheckConstraint(
                condition=Q(sign__regex=r"^[WMPEF][0-9]{3}$"),
                name="caution_sign_is_an_iso_7010_code",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation_id} {self.sign}"


class Material(models.Model):
    """What is bought to be built in or used up, and how it is traced.

    Once a released revision names it, it stays as it is, by trigger.
    """

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40, unique=True)
    traced = choice(Traced)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Traced, "traced"), name="material_traced_known"
            ),
            models.CheckConstraint(
                condition=Q(code__regex=r"^[0-9A-Z_-]{2,12}$"),
                name="material_code_goes_into_an_address",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class MaterialNeed(models.Model):
    """An operation uses a material; where by serial number, so many pieces of it."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="needs"
    )
    material = models.ForeignKey(
        Material, on_delete=models.PROTECT, related_name="needs"
    )
    pieces = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["operation", "material"], name="need_once_an_operation"
            ),
            models.CheckConstraint(
                condition=Q(pieces__gte=1, pieces__lte=12), name="need_has_pieces"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.operation_id} {self.material_id}"


class DefectKind(models.Model):
    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=40)
    origins = models.CharField(max_length=120)
    usual = choice(Usual)
    stages = models.ManyToManyField(Stage, related_name="defect_kinds")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Usual, "usual"), name="defect_kind_usual_known"
            )
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def card(self) -> str:
        """Give the code of the card by which a scanner names this kind."""
        return codes.make(self.pk, "D")


class DefectBranch(models.Model):
    """On which branches' parts a kind of defect is found."""

    kind = models.ForeignKey(
        DefectKind, on_delete=models.CASCADE, related_name="branches"
    )
    branch = choice(Branch)

    class Meta:
        verbose_name_plural = "defect branches"
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "branch"], name="defect_branch_once_a_kind"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind_id} {self.branch}"
