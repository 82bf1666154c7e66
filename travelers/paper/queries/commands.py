"""What stands on the command cards of a station?"""

from dataclasses import dataclass

from django.conf import settings

from travelers.formulas import codes
from travelers.formulas.cards import DIGITS, REASONS, SEVERITIES, Command, code_of
from travelers.kit.drawing.outlines import SHAPES
from travelers.kit.drawing.zones import OUTLINES
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size
from travelers.routes.models import DefectKind, Operation
from travelers.routes.rules import Branch, OperationKind
from travelers.shop.models import Gauge, Station

# What every station obeys, in the order of a day's work.
AT_WORK = (Command.START, Command.DONE)
AT_REST = (Command.LOAD, Command.TAKE_OUT)
ALWAYS = (
    Command.NEXT,
    Command.LIST,
    Command.YES,
    Command.NO,
    Command.DEFECT,
    Command.HOLD,
    Command.UNDO,
)
KEYS = (*DIGITS[1:], DIGITS[0], Command.POINT, Command.MINUS, Command.CLEAR, Command.OK)


@dataclass(frozen=True, slots=True)
class Card:
    """One card: its symbol, its word, and the command whose sign is drawn."""

    code: str
    link: str
    word: str
    command: str = ""

    @property
    def is_key(self) -> bool:
        """Say whether the sign is the very word, as on a digit's key."""
        return self.command in DIGITS


@dataclass(frozen=True, slots=True)
class Outline:
    """A part in outline, on which the zones are numbered."""

    branch: Branch
    part: str
    shape: str


@dataclass(frozen=True, slots=True)
class CommandSheet:
    """The cards of one station, row by row: to work, to type, to find fault."""

    station: str
    name: str
    work: tuple[Card, ...]
    keys: tuple[Card, ...]
    zones: tuple[Card, ...]
    outlines: tuple[Outline, ...]
    kinds: tuple[Card, ...]
    severities: tuple[Card, ...]
    reasons: tuple[Card, ...]
    gauges: tuple[Card, ...]
    size: Size
    language: str


def command_cards(*, code: str, size: Size) -> CommandSheet:
    station = Station.objects.select_related("stage").filter(code=code).first()
    if station is None:
        raise Refused(NOT_FOUND)
    here = Operation.objects.filter(stage=station.stage)
    kinds = set(here.values_list("kind", flat=True))
    branches = [Branch(one) for one in here.values_list("branch", flat=True).distinct()]
    return CommandSheet(
        station.code,
        station.name,
        work=_commands([*_turns(station.attended, kinds), *ALWAYS]),
        keys=_commands(KEYS),
        zones=_commands(DIGITS[1:]),
        outlines=tuple(
            Outline(branch, OUTLINES[branch], SHAPES[0])
            for branch in Branch
            if branch in branches
        ),
        kinds=_kinds(station.stage_id),
        severities=_commands(SEVERITIES),
        reasons=_commands(REASONS),
        gauges=_gauges(station.stage_id),
        size=size,
        language=language(),
    )


def _turns(attended: bool, kinds: set[str]) -> list[Command]:
    """Leave out the cards for what is never done at a station."""
    works = attended or kinds - {OperationKind.HOLD}
    return [*(AT_WORK if works else ()), *AT_REST]


def _commands(commands: "tuple[Command, ...] | list[Command]") -> tuple[Card, ...]:
    return tuple(
        Card(code_of(one), _link(code_of(one)), one.value, one.value)
        for one in commands
    )


def _kinds(stage_id: int) -> tuple[Card, ...]:
    found = DefectKind.objects.filter(stages=stage_id).order_by("name")
    return tuple(Card(kind.card, _link(kind.card), kind.name) for kind in found)


def _gauges(stage_id: int) -> tuple[Card, ...]:
    """List the gauges of the kinds that checks at this stage ask for."""
    kinds = Operation.objects.filter(
        stage=stage_id, characteristics__isnull=False
    ).values("characteristics__gauge_kind")
    found = Gauge.objects.filter(kind__in=kinds).exclude(kind="").order_by("name")
    return tuple(Card(gauge.tag, _link(gauge.tag), gauge.name) for gauge in found)


def _link(code: str) -> str:
    return codes.link(code, settings.PUBLIC_ORIGIN)
