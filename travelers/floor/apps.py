"""Where does Django find the floor app?"""

from django.apps import AppConfig


class FloorConfig(AppConfig):
    name = "travelers.floor"
    label = "floor"
