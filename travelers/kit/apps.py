"""Where does Django find the kit app?"""

from django.apps import AppConfig


class KitConfig(AppConfig):
    name = "travelers.kit"
    label = "kit"
