"""Which addresses does the lumber app answer?"""

from django.urls import path

from travelers.lumber import views

app_name = "lumber"
urlpatterns = [
    path("", views.deliveries, name="deliveries"),
    path("new/", views.delivery_new, name="delivery_new"),
    path("<str:number>/", views.delivery, name="delivery"),
    path("<str:number>/papers/", views.papers, name="papers"),
    path("<str:number>/papers/<int:paper>/", views.paper, name="paper"),
]
