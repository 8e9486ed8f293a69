"""Who has an account, and which role each has on which wall."""

from typing import ClassVar

from django.contrib.auth.models import AbstractUser
from django.db import models

from gridmap.models import Wall


class Account(AbstractUser):
    """A person who signs in. The name shown on entries is `display_name`."""

    display_name = models.CharField(max_length=150, blank=True)

    def __str__(self) -> str:
        return self.display_name or self.username


class Role(models.TextChoices):
    LEAD = "lead", "Lead conservator"
    CONSERVATOR = "conservator", "Conservator"
    SITE_MANAGER = "site-manager", "Site manager"
    READER = "reader", "Reader"


class Membership(models.Model):
    """The role of one account on one wall."""

    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="memberships")
    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=20, choices=Role)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["account", "wall"], name="one_role_per_wall")
        ]

    def __str__(self) -> str:
        return f"{self.account}, {self.get_role_display()} of {self.wall}"
