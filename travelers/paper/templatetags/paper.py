"""How do the papers draw symbols, signs and boxes, and say limits?"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal

from django import template
from django.utils import formats
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, ngettext

from travelers.floor.rules import Wish
from travelers.kit.drawing import symbols
from travelers.kit.drawing.fingerboard import Strand
from travelers.kit.drawing.signs import SIGNS
from travelers.kit.drawing.strip import Dot as Mark
from travelers.kit.refusals import gettext_noop
from travelers.kit.templatetags import drawing
from travelers.kit.words import label, span
from travelers.paper.documents import Own, boxes, commands, marks, pictures
from travelers.paper.documents.marks import Marks
from travelers.paper.queries import Card, Caution, Dot, Entry
from travelers.paper.rules import Size
from travelers.routes.rules import Branch, Check, CheckKind, Joins, Line, Need, Traced

register = template.Library()

# Three in a row, five rows on a sheet.
CARDS = 15

beside = register.filter("beside", boxes.is_beside)
broad = register.filter("broad", boxes.is_broad)
across = register.filter("across", boxes.is_across)


@register.simple_tag
def qr(link: str, title: str) -> SafeString:
    return _safe(symbols.symbol(link, title=title))


@register.simple_tag
def qr_of_modules(link: str, title: str, module_mm: float) -> SafeString:
    """Draw a symbol whose modules are so wide on paper."""
    return _safe(symbols.symbol(link, title=title, module_mm=module_mm))


@register.simple_tag
def sign_row(codes: Sequence[str]) -> SafeString:
    told = ", ".join(referent_of(code) or code for code in codes)
    return _safe(pictures.sign_row(codes, told))


@register.simple_tag
def sign_alone(code: str) -> SafeString:
    return _safe(pictures.sign_of(code, referent_of(code)))


@register.filter
def referent_of(code: str) -> str:
    """Say what a sign refers to; nothing of one that the drawings do not know."""
    return drawing.referent(code) if code in SIGNS else ""


@register.simple_tag
def strip(dots: Iterable[Dot]) -> SafeString:
    """Draw how far an instrument is, on its fingerboard."""
    marks = [Mark(dot.branch, dot.look, dot.name) for dot in dots]
    strands = [
        Strand(
            branch,
            label(branch).capitalize(),
            joins_at=branch if branch is Branch.ASSEMBLY else "",
        )
        for branch in Branch
    ]
    return drawing.strip(marks, strands)


@register.simple_tag
def part_shape(branch: Branch, shape: str) -> SafeString:
    """Draw what a branch is about: a body, a neck, a harness, the instrument."""
    return _safe(pictures.part_shape(branch, shape, label(branch)))


@register.simple_tag
def stages(names: Sequence[str], here: str) -> SafeString:
    return _safe(pictures.stages(names, here, here))


@register.simple_tag
def command_sign(command: str) -> SafeString:
    return _safe(commands.sign_of_command(command))


@register.simple_tag
def zones(part: str, shape: str, branch: str) -> SafeString:
    return _safe(commands.zones_drawn(part, shape, label(branch)))


@register.filter
def by_sheet(cards: Sequence[Card]) -> list[Sequence[Card]]:
    """Deal cards out to sheets of fifteen."""
    return [cards[at : at + CARDS] for at in range(0, len(cards), CARDS)]


@register.simple_tag
def value_boxes(check: Check) -> SafeString:
    """Draw a box for each place where a check is made."""
    told = gettext("{name}: write here").format(name=check.name)
    if check.places > 1:
        corners = [str(place) for place in range(1, check.places + 1)]
        form = boxes.form_of(check)
    elif check.kind is CheckKind.JUDGED:
        corners = [gettext("good"), gettext("not")]
        form = boxes.Form(2, boxes.ALONE / 2)
    else:
        corners, form = [""], boxes.Form(1, boxes.ALONE)
    return _safe(boxes.boxes(corners, told, form=form))


@register.simple_tag
def turn_boxes(entry: Entry, own: Own | None) -> SafeString:
    """Draw a box for each time that an operation is repeated, as a coat is."""
    corners = [str(turn) for turn in entry.turns]
    written = [marks.day(on) for on in days(own, entry)]
    told = gettext("each time: initials and date")
    form = boxes.turn_form(len(corners))
    return _safe(boxes.boxes(corners, told, form=form, written=written))


@register.simple_tag
def done_marks(written: Marks, size: Size) -> SafeString:
    return _safe(marks.drawn(written, size))


@register.simple_tag
def stay_boxes() -> SafeString:
    """Draw boxes for when a part went in and came out."""
    corners = [gettext("in"), gettext("out")]
    form = boxes.Form(2, boxes.BESIDE / 2)
    return _safe(boxes.boxes(corners, ", ".join(corners), form=form))


@register.simple_tag
def number_boxes(need: Need) -> SafeString:
    """Draw a box for the number of a batch, or for that of each piece built in."""
    told = gettext("{name}: write here").format(name=need.material)
    many = need.pieces if need.traced is Traced.SERIAL else 1
    form = boxes.Form(1, boxes.BESIDE)
    if many > 1:
        form = boxes.spread(many, boxes.NUMBER, boxes.UNDER, boxes.NUMBER)
    corners = [str(place) if many > 1 else "" for place in range(1, many + 1)]
    return _safe(boxes.boxes(corners, told, form=form))


# What stands beside the boxes of a line, as somebody writes it by hand.
DONE = {
    Wish.START: gettext_noop("started"),
    Wish.FINISH: gettext_noop("done"),
    Wish.LOAD: gettext_noop("loaded"),
    Wish.TAKE_OUT: gettext_noop("taken out"),
}


@register.filter
def done_word(wish: Wish) -> str:
    """Say what a deed is called once it is done."""
    return gettext(DONE[wish]) if wish in DONE else label(wish)


@register.filter
def mate_words(words: str) -> str:
    """Say a mate by its branch and tag, or by its number."""
    return " ".join(label(one) for one in words.split(" "))


@register.filter
def days(own: Own | None, entry: Entry) -> tuple[date | None, ...]:
    """Say on which days the turns of a line were done on this instrument."""
    nothing = (None,) * len(entry.turns)
    return own.done.get(entry.key, nothing) if own else nothing


@register.filter
def limits(check: Check) -> str:
    """Say the limits of a check with its unit, in the reader's way with decimals."""
    lower, upper = _number(check, check.lower), _number(check, check.upper)
    if lower and upper:
        said = gettext("{lower} to {upper}")
    elif upper:
        said = gettext("at most {upper}")
    elif lower:
        said = gettext("at least {lower}")
    else:
        return ""
    return f"{said.format(lower=lower, upper=upper)} {check.unit}".rstrip()


@register.filter
def aim(check: Check) -> str:
    value = _number(check, check.nominal)
    return gettext("aim {value}").format(value=value) if value else ""


@register.filter
def places(check: Check) -> str:
    """Say at how many places a check is made, and on which instruments."""
    said = []
    if check.places > 1:
        said.append(
            f"{check.places}\u00a0×\u00a0{check.place_name or gettext('place')}"
        )
    if check.every_nth > 1:
        said.append(gettext("every {n}th instrument").format(n=check.every_nth))
    return ", ".join(said)


@register.filter
def notes(entry: Entry) -> str:
    """Say what an operation waits for, what its join scans, how often it is done."""
    line, said = entry.line, []
    if entry.after:
        before = ", ".join(
            f"{label(branch)} {number}" for branch, number in entry.after
        )
        said.append(gettext("after {operations}").format(operations=before))
    if line.longest_gap:
        within = length_of(line.longest_gap)
        said.append(gettext("start within {span}").format(span=within))
    if line.joins == Joins.PIECES:
        said.append(gettext("scan every piece"))
    if line.joins == Joins.BRANCHES:
        said.append(gettext("scan each tag"))
    if line.times > 1 and not entry.rework:
        said.append(_repeats(line))
    return " · ".join(said)


@register.filter
def length_of(lasting: timedelta) -> str:
    """Say a length of time, whole days without hours."""
    days, rest = divmod(lasting, timedelta(days=1))
    return gettext("{days} d").format(days=days) if days and not rest else span(lasting)


@register.filter
def in_columns(cautions: Sequence[Caution], count: int) -> list[list[Caution]]:
    """Deal the cautions out, in their order, to columns of about one height."""
    heights = [_height(caution) for caution in cautions]
    columns: list[list[Caution]] = [[] for _ in range(count)]
    gone, share = 0.0, sum(heights) / count
    for caution, height in zip(cautions, heights, strict=True):
        columns[min(int((gone + height / 2) / share), count - 1)].append(caution)
        gone += height
    return columns


def _height(caution: Caution) -> float:
    """Guess how many lines a caution takes in the legend; its sign takes two."""
    said = sum(
        len(told.sentence) + 12 * len(told.where) + 5 * len(told.numbers)
        for told in caution.told
    )
    return max(3.0, 1.4 + (len(referent_of(caution.sign)) + said) / 36)


@register.filter
def sizes(sizes_mm: Sequence[Decimal]) -> str:
    """Say length, width and thickness without idle decimals."""
    return " × ".join(
        formats.number_format(size.normalize() if size % 1 else int(size))
        for size in sizes_mm
    )


day = register.filter("day", marks.day)


def _repeats(line: Line) -> str:
    said = ngettext("{n} time", "{n} times", line.times).format(n=line.times)
    shortest, longest = line.shortest_between, line.longest_between
    if shortest and longest:
        between = gettext("{shortest} to {longest} between")
    elif shortest:
        between = gettext("at least {shortest} between")
    elif longest:
        between = gettext("at most {longest} between")
    else:
        return said
    least, most = (length_of(gap) if gap else "" for gap in (shortest, longest))
    return f"{said}, {between.format(shortest=least, longest=most)}"


def _number(check: Check, value: Decimal | None) -> str:
    return "" if value is None else formats.number_format(value, check.decimals)


def _safe(drawn: str) -> SafeString:
    # The drawings escape every text that they are given.
    return mark_safe(drawn)  # noqa: S308
