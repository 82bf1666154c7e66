"""What do the demo's files say, and does the shop hold the demo?"""

import json
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import check_password
from django.db.models import Count, Q

from travelers.demo.rules.sign_in import PASSWORD, SIGN_INS
from travelers.lumber.models import Delivery, Piece, Plank
from travelers.orders.models import Part
from travelers.routes.models import Operation, Revision
from travelers.routes.queries import released_route
from travelers.routes.rules import Branch, RevisionState, Route
from travelers.shop.models import Cutter, Person, Stage
from travelers.shop.rules import Role


@dataclass(frozen=True, slots=True)
class Wood:
    """What a part is made of, and what one of its pieces should weigh."""

    plank_set_id: int
    delivery: str
    plank: str
    piece_ids: tuple[int, ...]
    piece_mass_g: float


@dataclass(frozen=True, slots=True)
class SignIn:
    """Somebody of the demo who can be signed in as, and what that is good for."""

    username: str
    name: str
    number: str
    roles: tuple[Role, ...]


def fixture(*, name: str) -> Any:
    folder = Path(settings.BASE_DIR) / "fixtures" / "demo"
    return json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))


def is_empty() -> bool:
    """Say whether nobody works here yet and no place has been set up."""
    return not (Person.objects.exists() or Stage.objects.exists())


def sign_ins() -> tuple[SignIn, ...]:
    """List the demo's well-known people; none where they are not the demo's own.

    Somebody else may be called the same: only who has the demo's password counts.
    """
    people = Person.objects.in_bulk(SIGN_INS, field_name="username")
    if set(people) != set(SIGN_INS):
        return ()
    if not all(
        check_password(PASSWORD, key) for key in {p.password for p in people.values()}
    ):
        return ()
    return tuple(
        SignIn(name, str(one), one.number or "", one.roles)
        for name in SIGN_INS
        for one in [people[name]]
    )


def wood_of_order(*, order_id: int) -> dict[int, Wood]:
    """Say of each plank set of an order where it came from and what it weighs."""
    pieces: dict[int, list[Piece]] = defaultdict(list)
    for piece in (
        Piece.objects.filter(plank_set__allotment__order_id=order_id)
        .select_related("plank_set__plank__delivery")
        .order_by("plank_set_id", "letter")
    ):
        pieces[piece.plank_set_id].append(piece)
    return {
        plank_set_id: Wood(
            plank_set_id,
            own[0].plank_set.plank.delivery.number,
            own[0].plank_set.plank.number,
            tuple(piece.pk for piece in own),
            _mass_g(own[0]),
        )
        for plank_set_id, own in pieces.items()
    }


def _mass_g(piece: Piece) -> float:
    """Share a plank's mass out by volume."""
    plank = piece.plank_set.plank
    share = (
        piece.length_mm
        * piece.width_mm
        * piece.thickness_mm
        / (plank.length_mm * plank.width_mm * plank.thickness_mm)
    )
    return float(share) * plank.mass_g


def delivery_number(*, species: str) -> str:
    """Name the first delivery of a species."""
    first = Delivery.objects.filter(species__code=species).order_by("received_on", "pk")
    return first.values_list("number", flat=True)[0]


def plank_of_most_sets() -> str:
    """Name the plank that most sets of bodies were cut from so far."""
    planks = Plank.objects.filter(sets__purpose=Branch.BODY).annotate(
        sets_cut=Count("sets")
    )
    return planks.order_by("-sets_cut", "pk").values_list("number", flat=True)[0]


def cutter_numbers(*, cutter_ids: Collection[int], head: str) -> set[str]:
    """Name the cutters among some that ran at a head."""
    rows = Cutter.objects.filter(pk__in=cutter_ids, head=head)
    return set(rows.values_list("number", flat=True))


def tag_of(*, instrument_id: int) -> str:
    return Part.objects.get(instrument_id=instrument_id, branch=Branch.ASSEMBLY).code


def stations_of_operations() -> dict[int, str]:
    """Say at which station each operation is done, where it names one."""
    rows = Operation.objects.filter(station__isnull=False)
    return dict(rows.values_list("pk", "station__code"))


def route_of(*, model: str) -> Route:
    revision = Revision.objects.get(model__code=model, state=RevisionState.RELEASED)
    return released_route(revision_id=revision.pk)


def count_scans() -> tuple[int, int]:
    """Count what the ledger heard, and how much of it was refused."""
    counted = Person.objects.aggregate(
        heard=Count("events"), refused=Count("events", filter=Q(events__accepted=False))
    )
    return counted["heard"], counted["refused"]
