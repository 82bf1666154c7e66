"""Which addresses does the paper app answer?"""

from django.urls import path

from travelers.paper import views

app_name = "paper"
urlpatterns = [
    path("traveler/<path:serial>.pdf", views.traveler, name="traveler"),
    path("traveler/<path:serial>.html", views.traveler_page, name="traveler_page"),
    path("record/<path:serial>.pdf", views.build_record, name="build_record"),
    path("travelers/", views.selection, name="selection"),
    path(
        "order/<path:number>/travelers.pdf",
        views.order_travelers,
        name="order_travelers",
    ),
    path("order/<path:number>/tags.pdf", views.order_tags, name="order_tags"),
    path("part/<str:code>/tag.pdf", views.part_tag, name="part_tag"),
    path("set/<path:number>/labels.pdf", views.piece_labels, name="piece_labels"),
    path(
        "delivery/<path:number>/labels.pdf",
        views.delivery_labels,
        name="delivery_labels",
    ),
    path("batch/<str:code>.pdf", views.batch_label, name="batch_label"),
    path("plank/<path:number>/plan.pdf", views.cut_plan, name="cut_plan"),
    path("station/<path:code>.pdf", views.station_card, name="station_card"),
    path("badges.pdf", views.badges, name="badges"),
    path("cards/<path:code>.pdf", views.command_cards, name="command_cards"),
    path("containment/<int:number>.pdf", views.containment_sheet, name="containment"),
    path("rework/<int:number>.pdf", views.rework_sheet, name="rework_sheet"),
    path("load/<uuid:load_id>.pdf", views.load_sheet, name="load_sheet"),
    path("study/<int:number>/cards.pdf", views.study_cards, name="study_cards"),
    path("print-check.pdf", views.print_check, name="print_check"),
    path("stations.pdf", views.station_cards, name="station_cards"),
]
digest_pages = [
    path("", views.digest, name="digest"),
    path("digest.pdf", views.digest_pdf, name="pdf"),
]
# What is typed in from a traveler stands with the instrument's pages.
instrument_pages = [
    path("instrument/<str:serial>/paper/", views.entry, name="paper"),
]
