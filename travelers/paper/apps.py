"""Where does Django find the paper app?"""

from django.apps import AppConfig


class PaperConfig(AppConfig):
    name = "travelers.paper"
    label = "paper"
