"""How does a batch come to a station: by its scanned label, or chosen from a list?"""

from datetime import date, datetime

from django.http import HttpRequest, HttpResponse
from django.utils import formats, timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from travelers.floor import queries
from travelers.floor.actions import bring_batch
from travelers.floor.forms import BatchForm
from travelers.floor.queries import Scene
from travelers.floor.rules.facts import Place
from travelers.floor.rules.materials import AtHand, other_material
from travelers.floor.views import answers, looking, screens
from travelers.floor.views.answers import Answer
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.people import at_tablets, for_roles, person_of
from travelers.kit.refusals import FORM_WRONG, NOT_FOUND, Refusal, Refused
from travelers.shop.rules import EVERYBODY


def scanned(
    request: HttpRequest,
    place: Place,
    at: datetime,
    code: str,
    asked: dict[str, object],
) -> HttpResponse:
    """Offer a scanned batch to the station, with what stands on the screen.

    To look changes nothing: the page sends what it offers by itself, or at a touch
    where no script runs.
    """
    batch = queries.find_batch(code=code)
    if batch is None:
        raise Refused(NOT_FOUND)
    scene = looking.scene_on_screen(request, place, at, asked)
    refusal = _refusal(batch, scene, at)
    answer = answers.refused(refusal) if refusal else None
    return _show(request, place, at, scene, answer, brings=None if refusal else batch)


@require_http_methods(["GET", "HEAD", "POST"])
@at_tablets("code")
@for_roles(*EVERYBODY)
def batch(request: HttpRequest, code: str) -> HttpResponse:
    """Let the station work with a batch from now on, and say so."""
    place, at = screens.place_of(code), timezone.now()
    if request.method != "POST":
        return screens.go(request, screens.address(place, {}))
    form = BatchForm(request.POST)
    if not form.is_valid():
        raise Refused(FORM_WRONG)
    given = form.cleaned_data
    scene = looking.scene_on_screen(
        request, place, at, {"part": given["code"], "step": given["step"]}
    )
    found = queries.find_batch(code=given["batch"])
    refusal = _refusal(found, scene, at) if found else None
    if refusal:
        return _show(request, place, at, scene, answers.refused(refusal))
    try:
        stands = bring_batch(
            code=given["batch"], station=place, person=person_of(request), at=at
        )
    except Refused as no:
        return _show(request, place, at, scene, answers.refused(no.refusal))
    # Looked at again: what stood in the way may be gone.
    scene = looking.scene_on_screen(
        request, place, at, {"part": given["code"], "step": given["step"]}
    )
    said = _said(stands, timezone.localdate(at))
    return _show(request, place, at, scene, said)


def _refusal(batch: AtHand, scene: Scene | None, at: datetime) -> Refusal | None:
    """Say why a batch does not come; what is made with one that is over may pass."""
    if batch.held:
        return batch.fault(timezone.localdate(at))
    line = scene.line if scene else None
    if line is None or scene is None:
        return None
    return other_material(batch, line.batches, scene.operation)


def _said(batch: AtHand, today: date) -> Answer:
    about = {"number": batch.number, "material": batch.material}
    if batch.expires_on is None:
        said = gettext("{material}, batch {number}, is in use here from now on.")
        return Answer(Shape.ACCEPTED, gettext("In use"), said.format(**about))
    about["day"] = formats.date_format(batch.expires_on, "j F Y")
    if batch.is_over(today):
        said = gettext("{material}, batch {number}, was good until {day} only.")
        return Answer(Shape.LOOK, gettext("Look"), said.format(**about))
    said = gettext("{material}, batch {number}, is in use here; good until {day}.")
    return Answer(Shape.ACCEPTED, gettext("In use"), said.format(**about))


def _show(
    request: HttpRequest,
    place: Place,
    at: datetime,
    scene: Scene | None,
    answer: Answer | None,
    *,
    brings: AtHand | None = None,
) -> HttpResponse:
    status = answer.refusal.status if answer and answer.refusal else 200
    if scene:
        return screens.show_scene(
            request, place, scene, at=at, answer=answer, brings=brings, status=status
        )
    return looking.lists(
        request, place, at, answer=answer, brings=brings, status=status
    )
