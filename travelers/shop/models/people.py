"""Who works here, and by what is somebody known?"""

from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q

from travelers.shop.rules import Role


class Person(AbstractUser):
    """Somebody who signs in; one column a role, so that asking costs no query."""

    # What is typed with a PIN at a tablet instead of showing the badge.
    number = models.CharField(max_length=4, unique=True, null=True, blank=True)
    pin = models.CharField(max_length=128, blank=True, default="")
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
            models.CheckConstraint(
                condition=Q(number__regex=r"^[0-9]{4}$"),
                name="person_number_has_four_digits",
            ),
            models.CheckConstraint(
                condition=Q(pin="") | Q(number__isnull=False),
                name="person_pin_goes_with_a_number",
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


class Badge(models.Model):
    """A card with a secret that says who holds it; only its SHA-256 is kept."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="badges")
    digest = models.CharField(max_length=64, unique=True)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="badges_issued"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)
    revoked_by = models.ForeignKey(
        Person,
        on_delete=models.PROTECT,
        related_name="badges_revoked",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(revoked_at__isnull=True, revoked_by__isnull=True)
                | Q(revoked_at__isnull=False, revoked_by__isnull=False),
                name="badge_revoked_says_by_whom",
            ),
            models.UniqueConstraint(
                fields=["person"],
                condition=Q(revoked_at__isnull=True),
                name="badge_one_in_force",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.issued_at:%Y-%m-%d}"
