"""Which addresses does the orders app answer?

A plank's page is the lumber's by name (``lumber:plank``); it is answered here, where
both the wood and the models' needs are known, and ``shopfloor.urls`` puts it there.
"""

from django.urls import path

from travelers.orders import views

app_name = "orders"
urlpatterns = [
    path("", views.orders, name="orders"),
    path("new/", views.order_new, name="order_new"),
    path("<str:number>/", views.order, name="order"),
    path("<str:number>/allot/", views.allot, name="allot"),
    path("<str:number>/take-back/", views.take_back, name="take_back"),
    path("<str:number>/release/", views.release, name="release"),
]
plank_pages = [
    path("plank/<str:number>/", views.plank, name="plank"),
    path("plank/<str:number>/plan/", views.plank_plan, name="plan"),
    path("set/<str:number>/weigh/", views.weigh, name="weigh"),
]
