"""How is an answer said at a station: which shape, which word, which sentence?"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext, gettext_lazy

from travelers.floor.actions import Verdict
from travelers.floor.queries import Scene
from travelers.floor.rules import State, Wish
from travelers.formulas.cards import Command
from travelers.kit import words
from travelers.kit.drawing.answers import Answer as Shape
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Check, CheckKind

# The word that fills the screen, and the sentence that stays.
SAID = {
    Wish.START: (gettext_lazy("Started"), gettext_lazy("The work is begun.")),
    Wish.FINISH: (gettext_lazy("Done"), gettext_lazy("This step is done.")),
    Wish.LOAD: (gettext_lazy("In"), gettext_lazy("The part lies here now.")),
    Wish.TAKE_OUT: (gettext_lazy("Out"), gettext_lazy("The part is out.")),
    Wish.MATE: (gettext_lazy("Belongs"), gettext_lazy("This one belongs here.")),
    Wish.USE: (gettext_lazy("Built in"), gettext_lazy("Its serial number is noted.")),
    Wish.HOLD: (gettext_lazy("Held"), gettext_lazy("The hold is on.")),
    Wish.ALLOW: (gettext_lazy("Let pass"), gettext_lazy("It may go on, once.")),
    Wish.DECLINE: (gettext_lazy("No"), gettext_lazy("It may not go on like that.")),
    Wish.ASK: (
        gettext_lazy("Asked"),
        gettext_lazy("The lead is asked; the answer comes up here."),
    ),
    Wish.UNDO: (gettext_lazy("Taken back"), gettext_lazy("It is as it was before.")),
}


@dataclass(frozen=True, slots=True)
class Answer:
    """What is said to the last press or scan; with ``flash`` across the screen."""

    shape: Shape
    word: str
    text: str = ""
    refusal: Refusal | None = None
    may_pass: bool = False
    flash: bool = True


def refused(refusal: Refusal, *, may_pass: bool = False) -> Answer:
    return Answer(Shape.REFUSED, gettext("Refused"), "", refusal, may_pass)


def cards(commands: Iterable[Command]) -> str:
    """Name cards as they are called on paper."""
    return ", ".join(words.label(command) for command in commands)


def done(verdict: Verdict) -> Answer:
    """Say that a press was accepted."""
    word, said = SAID[verdict.wish]
    text = str(said)
    step = verdict.bench.step(verdict.step_id or 0) if verdict.bench else None
    if step and step.state is State.DWELLING and step.dwell_until:
        text = gettext("It lies here until {at}.").format(
            at=words.moment(step.dwell_until)
        )
    return Answer(Shape.ACCEPTED, str(word), text)


def read(
    check: Check,
    place: int,
    value: str,
    *,
    inside: bool,
    original: str = "",
    overdue: bool = False,
) -> Answer:
    """Say what a reading is worth; inside needs no flash, the next place follows."""
    shown = _value(check, value)
    if original:
        shown = f"{shown} ({original})"
    name = check.name
    if check.places > 1:
        name = f"{name}, {check.place_name or gettext('place')} {place}"
    if check.kind is CheckKind.JUDGED:
        said = gettext("{check}: {value}.")
    elif inside:
        said = gettext("{check}: {value}, inside.")
    else:
        said = gettext("{check}: {value}, outside.")
    text = said.format(check=name, value=shown)
    if overdue:
        text = f"{text} {gettext('The gauge is out of calibration.')}"
    if inside:
        return Answer(Shape.ACCEPTED, gettext("Inside"), text, flash=False)
    return Answer(Shape.LOOK, gettext("Outside"), text)


def _value(check: Check, value: str) -> str:
    if check.kind is CheckKind.JUDGED:
        return gettext("good") if value == "1" else gettext("not good")
    return f"{value} {check.unit}".strip()


def shown(scene: Scene, *, began_by: str = "") -> Answer:
    """Answer a scan that only looks: can it go on here, or does it need a look?"""
    said = ""
    if began_by and scene.step and scene.step.started_at:
        said = gettext("Begun {at} by {person}.").format(
            at=words.moment(scene.step.started_at), person=began_by
        )
    stopped = scene.closed or (scene.press and scene.press.refusal)
    if stopped and not scene.can_check:
        return Answer(Shape.LOOK, gettext("Look"), said)
    return Answer(Shape.ACCEPTED, scene.operation, said)


def heard(scene: Scene) -> Answer:
    """Say what the lead answered while the screen waited for it."""
    if no := next((one for one in scene.questions if one.declined), None):
        text = gettext("{person} says no: {reason}").format(
            person=no.by, reason=no.reason
        )
        return Answer(Shape.LOOK, gettext("No"), text)
    if scene.let_pass:
        said = gettext("It may go on, once: {reason}")
        text = said.format(reason=scene.let_pass[-1].reason)
        return Answer(Shape.ACCEPTED, gettext("Let pass"), text)
    return shown(scene)
