"""Where does Django find the routes app?"""

from django.apps import AppConfig


class RoutesConfig(AppConfig):
    name = "travelers.routes"
    label = "routes"
