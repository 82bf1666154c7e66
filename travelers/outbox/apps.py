"""Where does Django find the outbox app?"""

from django.apps import AppConfig


class OutboxConfig(AppConfig):
    name = "travelers.outbox"
    label = "outbox"
