"""Which addresses does the routes app answer?"""

from django.urls import path

from travelers.routes import views

app_name = "routes"
urlpatterns = [
    path("", views.models, name="models"),
    path("<str:model>/<str:number>/", views.revision, name="revision"),
    path("<str:model>/<str:number>/release/", views.release, name="release"),
    path("<str:model>/<str:number>/draft/", views.draft, name="draft"),
    path("<str:model>/<str:number>/drop/", views.drop, name="drop"),
]
