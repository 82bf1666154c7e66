"""What is the least that a scan could do?  Session, sign-in and six queries."""

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.urls import path
from django.utils import timezone

from tests.bench.bare.models import Event, Measurement, Sheet, Station, Step


def token(request: HttpRequest) -> HttpResponse:
    return HttpResponse(get_token(request))


def scan(request: HttpRequest) -> HttpResponse:
    if not request.user.is_authenticated:
        return HttpResponse(status=403)
    with transaction.atomic():
        sheet = Sheet.objects.select_for_update().get(token=request.POST["token"])
        step = Step.objects.get(sheet=sheet, number=int(request.POST["number"]))
        station = Station.objects.get(pk=step.station_id)
        now = timezone.now()  # noqa: TID251 - this is a view
        event = Event.objects.create(
            sheet_number=sheet.pk,
            step_number=step.number,
            worker=request.user.pk,
            at=now,
            note=station.name,
        )
        Measurement.objects.create(event=event, name="neck relief", value=0.25)
        Step.objects.filter(pk=step.pk).update(state="done", done_at=now)
    return HttpResponse(status=204)


urlpatterns = [path("token", token), path("scan", scan)]
