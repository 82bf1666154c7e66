"""How do tests of the screens sign in, and fill the shop quickly?"""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests import make
from travelers.lumber.actions import Cut, Sawn, accept_delivery, cut_sets
from travelers.lumber.models import PlankSet, Species, Supplier
from travelers.lumber.rules import Purpose
from travelers.orders.actions import allot_sets, release_order
from travelers.orders.models import Instrument, WorkOrder
from travelers.routes.models import WoodNeed

# A trunk rather than a plank: it gives forty body sets.
LONG = Sawn(Decimal(20_000), Decimal(400), Decimal(60), 288_000)


def client(shop: make.Shop, name: str) -> Client:
    """Sign a person of the cast in; nobody for an empty name."""
    opened = Client()
    if name:
        opened.force_login(shop.cast.people[name])
    return opened


def page_of(response: HttpResponse) -> Any:
    """Give the page that a view handed to its template."""
    return response.context["page"]  # type: ignore[attr-defined]


def main_of(answer: HttpResponse) -> str:
    """Give what stands between a page's head and its foot."""
    return text_of(answer).partition("<main")[2].partition("</main>")[0]


def text_of(response: HttpResponse) -> str:
    return response.content.decode()


def queries_of(asking: Client, url: str, **headers: str) -> int:
    """Count the queries of a page; the first call fills caches and is not counted."""
    asking.get(url, headers=headers)
    with CaptureQueriesContext(connection) as caught:
        response = asking.get(url, headers=headers)
    assert response.status_code == 200, url
    return len(caught)


def sets(shop: make.Shop, purpose: str, count: int) -> list[PlankSet]:
    """Cut sets for the small model from as many long planks as it takes."""
    need = WoodNeed.objects.get(model=shop.model, branch=purpose)
    cut = Cut(need.pieces, need.length_mm, need.width_mm, need.thickness_mm)
    made: list[PlankSet] = []
    while len(made) < count:
        shop.planks += 1
        delivery = accept_delivery(
            number=f"L{shop.planks:03}",
            supplier_id=Supplier.objects.get().pk,
            species_id=Species.objects.get(code="ASH").pk,
            received_on=date(2026, 1, 5),
            planks=[LONG],
        )
        made += cut_sets(
            plank_id=delivery.planks.get().pk,
            purpose=Purpose(purpose),
            cut=cut,
            count=min(40, count - len(made)),
            cut_on=date(2026, 1, 7),
        )
    return made


def allotted(shop: make.Shop, quantity: int) -> WorkOrder:
    """Make an order and give it all its wood."""
    order = shop.order(quantity)
    for purpose in ("BODY", "NECK"):
        chosen = sets(shop, purpose, quantity)
        allot_sets(order_id=order.pk, plank_set_ids=[one.pk for one in chosen])
    return order


def released(shop: make.Shop, quantity: int) -> list[Instrument]:
    order = allotted(shop, quantity)
    return release_order(order_id=order.pk, by=shop.cast.planner, at=shop.now)


def plan_of(sql: str) -> str:
    """Say by which indexes SQLite would answer a question.

    PostgreSQL chooses by statistics, and a test has too few rows for any.
    """
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL plans by statistics that a test does not have")
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
        return " ".join(str(row[3]) for row in cursor.fetchall())
