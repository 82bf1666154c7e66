"""Which addresses does the floor app answer?"""

from django.urls import path

from travelers.floor import views

app_name = "floor"
urlpatterns = [
    path("station/<str:code>/", views.station, name="station"),
    path("station/<str:code>/help/", views.help_, name="help"),
    path("station/<str:code>/wish/", views.wish, name="wish"),
    path("station/<str:code>/scan/", views.scan, name="scan"),
    path("station/<str:code>/several/", views.several, name="several"),
    path("station/<str:code>/reading/", views.reading, name="reading"),
    path("station/<str:code>/answer/", views.answer, name="answer"),
    # In capitals, as the symbol carries it: capitals make it smaller.
    path("T/<str:code>", views.tag, name="tag"),
    path("instrument/<str:serial>/", views.instrument, name="instrument"),
    path("instrument/<str:serial>/hold/", views.hold, name="hold"),
    path("instrument/<str:serial>/lift/", views.lift, name="lift"),
    path("instrument/<str:serial>/undo/<uuid:target>/", views.undo, name="undo"),
    path("instrument/<str:serial>/swap/", views.swap, name="swap"),
    path("find/", views.find, name="find"),
]
