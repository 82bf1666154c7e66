"""Which addresses does the outbox answer?"""

from django.urls import path

from travelers.outbox import views

app_name = "outbox"
urlpatterns = [
    path("station/<str:code>/outbox/", views.intake, name="intake"),
    path("station/<str:code>/due.json", views.due, name="due"),
    path("late/", views.late, name="late"),
    path("late/<int:number>/seen/", views.seen, name="seen"),
    path("sw.js", views.worker, name="worker"),
]
