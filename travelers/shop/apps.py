"""Where does Django find the shop app?"""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "travelers.shop"
    label = "shop"
