"""Where does Django find the lumber app?"""

from django.apps import AppConfig


class LumberConfig(AppConfig):
    name = "travelers.lumber"
    label = "lumber"
