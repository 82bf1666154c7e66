"""Where does Django find the quality app?"""

from django.apps import AppConfig


class QualityConfig(AppConfig):
    name = "travelers.quality"
    label = "quality"
