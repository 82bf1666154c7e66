"""Which addresses does the shop app answer?

The front pages (``shop:home``, ``shop:stations``) count what lies on the floor and
are answered by ``planning``, which sees it; ``shopfloor.urls`` puts them together.
"""

from django.urls import path

from travelers.shop import views

app_name = "shop"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-in/here/", views.here, name="here"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("tablet/", views.tablet, name="tablet"),
    path("tablets/", views.tablets, name="tablets"),
    path("tablets/<int:number>/revoke/", views.tablet_revoke, name="tablet_revoke"),
    path("people/", views.people, name="people"),
    path("people/<str:username>/", views.person, name="person"),
    path(
        "people/<str:username>/badge/revoke/",
        views.badge_revoke,
        name="badge_revoke",
    ),
    path("people/<str:username>/pause/lift/", views.pause_lift, name="pause_lift"),
    path("qualifications/", views.skills, name="skills"),
    path("qualifications/<str:stage>/<str:kind>/", views.skill, name="skill"),
    path(
        "qualifications/<str:stage>/<str:kind>/stop/",
        views.skill_stop,
        name="skill_stop",
    ),
]
