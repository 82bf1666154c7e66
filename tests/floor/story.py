"""What does a shop's ledger look like after people have worked with it?

One finished instrument that met most of what can happen, one that is half built
and held, one scrapped, these two with each other's necks, and scans of codes that
nobody knows.
"""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from tests import make
from travelers.floor import queries
from travelers.floor.actions import Verdict
from travelers.floor.rules import Wish
from travelers.floor.rules.origin import Origin, Source
from travelers.orders.models import Instrument, Part, Step
from travelers.quality.actions import decide, report_defect
from travelers.quality.models import Defect
from travelers.quality.rules import Decision, Severity
from travelers.routes.models import Operation


@dataclass(frozen=True)
class Story:
    shop: make.Shop
    finished: Instrument
    halfway: Instrument
    scrapped: Instrument


def tell() -> Story:
    shop = make.shop(uses=True)
    finished, halfway, scrapped = shop.instruments(3)
    finish(shop, finished)
    swap_necks(shop, scrapped, halfway)
    leave_halfway(shop, halfway)
    scrap(shop, scrapped)
    for code in ("P0000000", "not a code", ""):
        assert not shop.scan(Wish.START, code, at="SAW").accepted
    return Story(shop, *Instrument.objects.order_by("pk"))


def finish(shop: make.Shop, instrument: Instrument) -> None:
    """Build an instrument to its end, with a few things that go wrong."""
    body = shop.part(instrument)
    shop.work(body, until="Dry")
    dry = _step(shop, body)
    shop.must(Wish.LOAD, dry)
    refuse(shop, Wish.TAKE_OUT, dry, "floor.still_dwelling")
    shop.now = _step(shop, body).dwell_until or shop.now
    shop.must(Wish.READ, dry, readings=[shop.reading(dry, "9.4", "meter")])
    refuse(shop, Wish.TAKE_OUT, dry, "floor.out_of_tolerance")
    let_pass(shop, dry, "floor.out_of_tolerance", "thin piece, will even out")
    shop.must(Wish.TAKE_OUT, dry)
    shop.work(body, until="Inspect body")
    inspect = _step(shop, body)
    shop.must(Wish.START, inspect)
    send_back(shop, inspect, "RUN", "Lacquer")
    solder = _step(shop, shop.part(instrument, "ELECTRONICS"))
    paper = Origin(source=Source.PAPER, entered_by_id=shop.cast.lead.pk)
    an_hour_ago = shop.now - timedelta(hours=1)
    shop.must(Wish.START, solder, when=an_hour_ago, origin=paper)
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(instrument, branch))
    instrument.refresh_from_db()
    assert instrument.state == "FINISHED"


def swap_necks(shop: make.Shop, one: Instrument, other: Instrument) -> None:
    """Swap a rough neck that was held once for one that nobody has touched."""
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    shop.work(mine, until="Fret")
    hold = shop.scan(Wish.HOLD, mine, reason="which way is up", only_part=True)
    told = {"hold": str(hold.event_id), "reason": "that one"}
    assert shop.scan(Wish.LIFT, mine, by="lead", **told).accepted
    must_swap(shop, mine, theirs)


def leave_halfway(shop: make.Shop, instrument: Instrument) -> None:
    """Leave a body in the clamps, a neck held, and the instrument held for a day."""
    body, neck = shop.part(instrument), shop.part(instrument, "NECK")
    shop.work(body, until="Glue")
    glue = _step(shop, body)
    shop.later(hours=2)
    shop.supply(glue)
    shop.must(Wish.START, glue)
    shop.mate(glue)
    shop.must(Wish.FINISH, glue)
    hold = shop.scan(Wish.HOLD, body, reason="papers are checked", only_part=False)
    assert hold.accepted
    shop.later(days=1)
    lifted = shop.scan(
        Wish.LIFT, body, by="lead", hold=str(hold.event_id), reason="papers are good"
    )
    assert lifted.accepted
    fret = _step(shop, neck)
    shop.must(Wish.START, fret)
    held = shop.scan(Wish.HOLD, neck, reason="knot, ask QA", only_part=True)
    assert held.accepted
    solder = _step(shop, shop.part(instrument, "ELECTRONICS"))
    take_back(shop, shop.must(Wish.START, solder))
    shop.must(Wish.START, solder)


def scrap(shop: make.Shop, instrument: Instrument) -> None:
    """Scrap an instrument for a defect of a body that holds it."""
    body = shop.part(instrument)
    shop.work(body, until="Machine")
    machine = _step(shop, body)
    ask_and_hear_no(shop, machine)
    shop.must(Wish.START, machine)
    take_back(
        shop,
        shop.must(
            Wish.READ, machine, readings=[shop.reading(machine, "57", "caliper")]
        ),
    )
    shop.check(machine)
    defect = report(shop, machine, "TEAR_OUT", Severity.STOP)
    told = {"by": shop.cast.qa, "at": shop.now, "reason": "through to the top"}
    decide(defect_id=defect.pk, decision=Decision.SCRAP, **told)


def report(
    shop: make.Shop, step: Step, kind: str, severity: Severity = Severity.MAJOR
) -> Defect:
    verdict = report_defect(
        step_id=step.pk,
        station=queries.find_place(code=step.station.code if step.station else ""),
        person=shop.cast.joiner,
        event_id=uuid4(),
        at=shop.now,
        heard_at=shop.now,
        kind_code=kind,
        x=Decimal("0.4"),
        y=Decimal("0.6"),
        severity=severity,
    )
    assert verdict.accepted, verdict.refusal
    return Defect.objects.get(event_id=verdict.seq)


def send_back(shop: make.Shop, step: Step, kind: str, to: str) -> None:
    """Find a defect that stops the part, and send it back for rework."""
    defect = report(shop, step, kind, Severity.STOP)
    decide(
        defect_id=defect.pk,
        decision=Decision.REWORK,
        by=shop.cast.qa,
        at=shop.later(hours=1),
        reason="level it and coat it once more",
        from_operation_id=Operation.objects.get(name=to).pk,
    )


def take_back(shop: make.Shop, taken: Verdict) -> Verdict:
    """Take a press back with a touch, at once."""
    step = Step.objects.get(pk=taken.step_id or 0)
    return shop.must(Wish.UNDO, step, event=str(taken.event_id))


def ask_and_hear_no(shop: make.Shop, step: Step) -> None:
    """Ask to begin at the wrong station, where the lead says no."""
    told = {"step": step, "gate": "floor.not_here"}
    assert shop.scan(Wish.ASK, step.part, at="SAW", **told).accepted
    no = shop.scan(Wish.DECLINE, step.part, by="lead", reason="take it there", **told)
    assert no.accepted


def refuse(shop: make.Shop, wish: Wish, step: Step, code: str) -> None:
    verdict = shop.scan(wish, step.part, step=step)
    assert verdict.refusal
    assert verdict.refusal.code == code


def let_pass(shop: make.Shop, step: Step, gate: str, reason: str) -> None:
    verdict = shop.scan(
        Wish.ALLOW, step.part, step=step, by="lead", gate=gate, reason=reason
    )
    assert verdict.accepted, verdict.refusal


def _step(shop: make.Shop, part: Part) -> Step:
    step = shop.step_of(part)
    assert step
    return step


def code_of(verdict: Verdict) -> str:
    return verdict.refusal.code if verdict.refusal else ""


def at(shop: make.Shop, part: Part, operation: str) -> Step:
    """Work a part by the book until an operation is due, and give its step."""
    shop.work(part, until=operation)
    step = shop.step_of(part)
    assert step
    assert step.operation.name == operation
    return step


def allow(shop: make.Shop, step: Step, gate: str, by: str = "lead") -> Verdict:
    return shop.scan(
        Wish.ALLOW, step.part, step=step, by=by, gate=gate, reason="seen by me"
    )


def swap(shop: make.Shop, mine: Part, other: Part, **more: Any) -> Verdict:
    """Decide a swap as QA does who has looked at both parts just now."""
    said = {
        "with": other.code,
        "of": Instrument.objects.get(parts__code=mine.code).serial,
        "to": Instrument.objects.get(parts__code=other.code).serial,
        "reason": "runout, suits the other body",
        **more,
    }
    by = said.pop("by", "qa")
    return shop.scan(Wish.SWAP, mine, at="", by=by, **said)


def must_swap(shop: make.Shop, mine: Part, other: Part, **more: Any) -> Verdict:
    verdict = swap(shop, mine, other, **more)
    assert verdict.accepted, verdict.refusal
    return verdict
