"""Where does Django find the kit app, and the shop's back door?"""

from django.apps import AppConfig
from django.contrib.admin import apps as admin
from django.core import checks

from travelers.kit.checks import durability


class KitConfig(AppConfig):
    name = "travelers.kit"
    label = "kit"
    default = True

    def ready(self) -> None:
        checks.register(durability, checks.Tags.database)


class BackDoorConfig(admin.AdminConfig):
    default_site = "travelers.kit.backdoor.BackDoor"
    default = False
