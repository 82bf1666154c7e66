"""Where does Django find the demo app?"""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "travelers.demo"
    label = "demo"
