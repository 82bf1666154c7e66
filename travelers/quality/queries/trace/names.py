"""What are the things of a trace called, and which one does a text mean?"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.utils.translation import gettext

from travelers.floor import queries as floor
from travelers.floor.queries.tags import Thing as Tagged
from travelers.floor.rules.materials import read_serial
from travelers.formulas import codes
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber.models import Delivery, Plank, PlankSet
from travelers.orders.models import Instrument, Part
from travelers.quality.models import Defect
from travelers.quality.queries.trace.edges import built_in, station_day
from travelers.quality.rules import NOTHING_TRACED, Kind, Thing
from travelers.routes.models import Material
from travelers.shop.models import Cutter, Gauge, Station

LONGEST_SHOWN = 40
Ids = list[str]


@dataclass(frozen=True, slots=True)
class Named:
    """A thing as people call it; ``key`` is its name in an address."""

    thing: Thing
    key: str
    name: str
    of: str = ""
    day: date | datetime | None = None

    @property
    def kind(self) -> Kind:
        return self.thing.kind


def names_of(*, things: Iterable[Thing]) -> dict[Thing, Named]:
    """Give the names of things; one question for each kind among them."""
    kinds: dict[Kind, Ids] = {}
    for thing in things:
        kinds.setdefault(thing.kind, []).append(thing.id)
    found = (one for kind, ids in kinds.items() for one in NAMES[kind](ids))
    return {one.thing: one for one in found}


def find_thing(*, kind: str, key: str) -> Thing:
    """Find the thing that an address names."""
    asked = {one.lower(): one for one in Kind}.get(kind)
    found = FIND[asked](key) if asked and "\0" not in key else None
    if asked is None or found is None:
        raise Refused(NOT_FOUND)
    return Thing(asked, found)


def search(*, text: str) -> Named:
    """Find what a scan or a typed number means, or refuse with what to type."""
    text = text.replace("\0", "").strip()
    for thing in _meant(text):
        return names_of(things=[thing])[thing]
    raise Refused(NOTHING_TRACED.about(text=text[:LONGEST_SHOWN] or "–"))


def _meant(text: str) -> Iterator[Thing]:
    try:
        code = codes.parse(text)
    except codes.NotACode:
        code = ""
    tag = floor.find_tag(code=code) if code else None
    if tag and tag.thing is Tagged.PIECE:
        yield Thing(Kind.PLANK_SET, str(PlankSet.objects.get(pieces=tag.id).pk))
    elif tag and tag.thing in TAGGED:
        yield Thing(TAGGED[tag.thing], str(tag.id))
    for kind in TYPED:
        if text and (found := FIND[kind](text)):
            yield Thing(kind, found)


def _first(rows: Iterable[object]) -> str | None:
    found = next(iter(rows), None)
    return None if found is None else str(found)


def _delivery(key: str) -> str | None:
    return _first(Delivery.objects.filter(number=key).values_list("pk", flat=True))


def _plank(key: str) -> str | None:
    return _first(Plank.objects.filter(number=key).values_list("pk", flat=True))


def _set(key: str) -> str | None:
    return _first(PlankSet.objects.filter(number=key).values_list("pk", flat=True))


def _part(key: str) -> str | None:
    return _first(Part.objects.filter(code=key).values_list("pk", flat=True))


def _instrument(key: str) -> str | None:
    rows = Instrument.objects.filter(serial__iexact=key)
    return _first(rows.values_list("pk", flat=True))


def _defect(key: str) -> str | None:
    if not key.isdecimal() or len(key) > 18:
        return None
    return _first(Defect.objects.filter(pk=key).values_list("pk", flat=True))


def _load(key: str) -> str | None:
    try:
        asked = UUID(key)
    except ValueError:
        return None
    return _first(one.id for one in floor.loads_named(load_ids=[asked]))


def _gauge(key: str) -> str | None:
    return _first(Gauge.objects.filter(tag=key).values_list("pk", flat=True))


def _station_day(key: str) -> str | None:
    code, _, day = key.rpartition(".")
    try:
        date.fromisoformat(day)
    except ValueError:
        return None
    found = _first(Station.objects.filter(code=code).values_list("pk", flat=True))
    return found and f"{found}.{day}"


def _batch(key: str) -> str | None:
    found = floor.batch_of(text=key)
    return None if found is None else str(found)


def _serial(key: str) -> str | None:
    """Find a serial number, alone or behind its material's code and a point."""
    material, _, behind = key.partition(".")
    for code, text in ((material, behind), ("", key)):
        serial = read_serial(text)
        if isinstance(serial, str):
            found = floor.material_of_serial(serial=serial, material=code)
            if found is not None:
                return f"{found}.{serial}"
    return None


def _cutter(key: str) -> str | None:
    """Find a cutter: behind an @ its row's number, else what is engraved on it."""
    if key.startswith("@"):
        named = key[1:] if key[1:].isdecimal() and len(key) < 18 else "0"
        return _first(Cutter.objects.filter(pk=named).values_list("pk", flat=True))
    rows = Cutter.objects.filter(number__iexact=key).order_by("-mounted_at")
    return _first(rows.values_list("pk", flat=True))


FIND: Mapping[Kind, Callable[[str], str | None]] = {
    Kind.DELIVERY: _delivery,
    Kind.PLANK: _plank,
    Kind.PLANK_SET: _set,
    Kind.PART: _part,
    Kind.INSTRUMENT: _instrument,
    Kind.DEFECT: _defect,
    Kind.LOAD: _load,
    Kind.GAUGE: _gauge,
    Kind.BATCH: _batch,
    Kind.SERIAL: _serial,
    Kind.CUTTER: _cutter,
    Kind.STATION_DAY: _station_day,
}
# What people type, the most usual first; a defect's number says nothing by itself.
TYPED = (
    Kind.INSTRUMENT,
    Kind.PLANK_SET,
    Kind.PLANK,
    Kind.DELIVERY,
    Kind.LOAD,
    Kind.BATCH,
    Kind.SERIAL,
    Kind.CUTTER,
    Kind.STATION_DAY,
)
# What a scanned tag hangs on; a piece leads to its set.
TAGGED = {
    Tagged.PART: Kind.PART,
    Tagged.PLANK_SET: Kind.PLANK_SET,
    Tagged.PLANK: Kind.PLANK,
    Tagged.GAUGE: Kind.GAUGE,
    Tagged.BATCH: Kind.BATCH,
}


def _deliveries_named(ids: Ids) -> Iterator[Named]:
    rows = Delivery.objects.filter(pk__in=ids).values_list(
        "pk", "number", "supplier__name", "received_on"
    )
    for pk, number, supplier, day in rows:
        yield Named(Thing(Kind.DELIVERY, str(pk)), number, number, supplier, day)


def _planks_named(ids: Ids) -> Iterator[Named]:
    rows = Plank.objects.filter(pk__in=ids).values_list(
        "pk", "number", "delivery__species__name"
    )
    for pk, number, species in rows:
        yield Named(Thing(Kind.PLANK, str(pk)), number, number, species)


def _sets_named(ids: Ids) -> Iterator[Named]:
    rows = PlankSet.objects.filter(pk__in=ids).values_list(
        "pk", "number", "plank__delivery__species__name", "cut_on"
    )
    for pk, number, species, day in rows:
        yield Named(Thing(Kind.PLANK_SET, str(pk)), number, number, species, day)


def _parts_named(ids: Ids) -> Iterator[Named]:
    rows = Part.objects.filter(pk__in=ids).values_list(
        "pk", "code", "branch", "instrument__serial", "scrapped_at"
    )
    for pk, code, branch, serial, at in rows:
        said = f"{serial}, {gettext('scrapped')}" if at else serial
        yield Named(Thing(Kind.PART, str(pk)), code, branch, said, at)


def _instruments_named(ids: Ids) -> Iterator[Named]:
    rows = Instrument.objects.filter(pk__in=ids).values_list(
        "pk", "serial", "revision__model__name", "released_at"
    )
    for pk, serial, model, at in rows:
        yield Named(Thing(Kind.INSTRUMENT, str(pk)), serial, serial, model, at)


def _defects_named(ids: Ids) -> Iterator[Named]:
    rows = Defect.objects.filter(pk__in=ids).values_list(
        "pk", "kind__name", "part__instrument__serial", "event__happened_at"
    )
    for pk, name, serial, at in rows:
        yield Named(Thing(Kind.DEFECT, str(pk)), str(pk), name, serial, at)


def _loads_named(ids: Ids) -> Iterator[Named]:
    for one in floor.loads_named(load_ids=[UUID(own) for own in ids]):
        thing = Thing(Kind.LOAD, str(one.id))
        yield Named(thing, thing.id, one.station, "", one.begun_at)


def _gauges_named(ids: Ids) -> Iterator[Named]:
    rows = Gauge.objects.filter(pk__in=ids).values_list(
        "pk", "tag", "name", "calibrated_on"
    )
    for pk, tag, name, day in rows:
        yield Named(Thing(Kind.GAUGE, str(pk)), tag, name, "", day)


def _station_days_named(ids: Ids) -> Iterator[Named]:
    days = [(own, *station_day(own)) for own in ids]
    rows = Station.objects.filter(pk__in={station for _, station, _ in days})
    stations = {
        pk: (code, name) for pk, code, name in rows.values_list("pk", "code", "name")
    }
    for own, station, day in days:
        code, name = stations[station]
        key = f"{code}.{day.isoformat()}"
        yield Named(Thing(Kind.STATION_DAY, own), key, name, "", day)


def _batches_named(ids: Ids) -> Iterator[Named]:
    for one in floor.batches_named(batch_ids=[int(own) for own in ids]):
        thing = Thing(Kind.BATCH, str(one.id))
        yield Named(thing, one.code, one.number, one.material, one.received_on)


def _serials_named(ids: Ids) -> Iterator[Named]:
    materials = Material.objects.in_bulk([built_in(own)[0] for own in ids])
    for own in ids:
        pk, serial = built_in(own)
        key = f"{materials[pk].code}.{serial}"
        yield Named(Thing(Kind.SERIAL, own), key, serial, materials[pk].name)


def _cutters_named(ids: Ids) -> Iterator[Named]:
    rows = Cutter.objects.filter(pk__in=ids).values_list(
        "pk", "number", "station__name", "head", "mounted_at"
    )
    for pk, number, station, head, at in rows:
        thing = Thing(Kind.CUTTER, str(pk))
        yield Named(thing, f"@{pk}", number, f"{station}, {head}", at)


NAMES: Mapping[Kind, Callable[[Ids], Iterator[Named]]] = {
    Kind.DELIVERY: _deliveries_named,
    Kind.PLANK: _planks_named,
    Kind.PLANK_SET: _sets_named,
    Kind.PART: _parts_named,
    Kind.INSTRUMENT: _instruments_named,
    Kind.DEFECT: _defects_named,
    Kind.LOAD: _loads_named,
    Kind.GAUGE: _gauges_named,
    Kind.BATCH: _batches_named,
    Kind.SERIAL: _serials_named,
    Kind.CUTTER: _cutters_named,
    Kind.STATION_DAY: _station_days_named,
}
