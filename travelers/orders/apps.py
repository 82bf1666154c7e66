"""Where does Django find the orders app?"""

from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "travelers.orders"
    label = "orders"
