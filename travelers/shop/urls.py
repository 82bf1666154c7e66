"""Which addresses does the shop app answer?

The front pages (``shop:home``, ``shop:stations``) count what lies on the floor and
are answered by ``planning``, which sees it; ``shopfloor.urls`` puts them together.
"""

from django.urls import path

from travelers.shop import views

app_name = "shop"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
]
