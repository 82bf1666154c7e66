"""Which addresses does the planning app answer?

The front pages carry the shop's name; ``shopfloor.urls`` puts them there.
"""

from django.urls import path

from travelers.planning import views

app_name = "planning"
urlpatterns = [
    path("", views.board, name="board"),
    path("wall/", views.wall, name="wall"),
    path("<str:stage>/<str:branch>/", views.cell, name="cell"),
]
front_pages = [
    path("", views.home, name="home"),
    path("stations/", views.stations, name="stations"),
]
flow_pages = [
    path("", views.flow, name="flow"),
    path("course.svg", views.course, name="course"),
    path("weeks.svg", views.weeks, name="weeks"),
    path("ages.svg", views.ages, name="ages"),
    path("open/", views.still_open, name="open"),
    path("closed/", views.closed, name="closed"),
    path("waits/<str:stage>/", views.waits, name="waits"),
    path("released/", views.released, name="released"),
    path("passed/<str:stage>/", views.passed, name="passed"),
    path("day/<str:day>/", views.day, name="floor_on"),
    path("day/<str:day>/<str:stage>/", views.day, name="day"),
]
limits_pages = [
    path("", views.limits, name="limits"),
    path("load.svg", views.load, name="load"),
]
release_pages = [
    path("", views.release, name="release"),
    path("rules/", views.rules, name="rules"),
    path("now/", views.release_now, name="now"),
    path("starts.svg", views.starts, name="starts"),
    path("fill.svg", views.fill, name="fill"),
]
ask_pages = [
    path("", views.ask, name="ask"),
    path("accept/", views.accept, name="accept"),
]
promise_pages = [
    path("", views.promises, name="promises"),
    path("record/", views.record, name="record"),
]
what_if_pages = [
    path("", views.what_ifs, name="what_ifs"),
    path("<int:number>/", views.what_if, name="what_if"),
    path("<int:number>/drop/", views.drop, name="drop"),
]
room_pages = [
    path("", views.rooms, name="rooms"),
    path("<str:code>/", views.room, name="room"),
    path("<str:code>/import/", views.import_air, name="import_air"),
    path("<str:code>/loggers/", views.loggers, name="loggers"),
    path("<str:code>/loggers/<int:number>/out/", views.logger_out, name="logger_out"),
    path("<str:code>/log/", views.log, name="log"),
    path("<str:code>/air.svg", views.air, name="air"),
    path("<str:code>/places.svg", views.places, name="places"),
]
moisture_pages = [
    path("", views.to_read, name="to_read"),
    path("calibration/", views.calibration, name="calibration"),
    path("<str:number>/", views.wood_set, name="set"),
]
