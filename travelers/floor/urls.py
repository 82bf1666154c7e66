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
    path("station/<str:code>/batch/", views.batch, name="batch"),
    path("station/<str:code>/cutters/", views.cutters, name="cutters"),
    path("station/<str:code>/answer/", views.answer, name="answer"),
    # In capitals, as the symbol carries it: capitals make it smaller.
    path("T/<str:code>", views.tag, name="tag"),
    path("instrument/<str:serial>/", views.instrument, name="instrument"),
    path("instrument/<str:serial>/hold/", views.hold, name="hold"),
    path("instrument/<str:serial>/lift/", views.lift, name="lift"),
    path("instrument/<str:serial>/undo/<uuid:target>/", views.undo, name="undo"),
    path("instrument/<str:serial>/swap/", views.swap, name="swap"),
    path("instrument/<str:serial>/first/", views.put_first, name="pin"),
    path("first/", views.pins, name="pins"),
    path("first/lift/", views.unpin_, name="unpin"),
    path("instrument/<str:serial>/anew/<str:code>/", views.anew, name="anew"),
]
# Batches stand at a desk of their own.
material_pages = [
    path("", views.materials, name="list"),
    path("batch/<str:code>/", views.batch_page, name="batch"),
    path("batch/<str:code>/hold/", views.hold_batch, name="hold"),
    path("batch/<str:code>/lift/", views.lift_batch, name="lift"),
]
