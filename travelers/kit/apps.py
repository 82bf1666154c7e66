"""Where does Django find the kit app, and the shop's back door?"""

from django.apps import AppConfig
from django.contrib.admin import apps as admin


class KitConfig(AppConfig):
    name = "travelers.kit"
    label = "kit"
    default = True


class BackDoorConfig(admin.AdminConfig):
    default_site = "travelers.kit.backdoor.BackDoor"
    default = False
