"""Where does Django find the planning app?"""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    name = "travelers.planning"
    label = "planning"
