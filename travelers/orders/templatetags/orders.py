"""How do templates draw a cut plan?"""

from django import template
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from travelers.formulas.cutting import Offcut, Place
from travelers.kit.drawing import sawing as drawing
from travelers.orders.queries import Plan

register = template.Library()


@register.simple_tag
def sawing(plan: Plan, wide: float = 1000.0) -> SafeString:
    """Draw where the pieces lie; paper asks for a smaller ``wide``."""
    plank = plan.cut.plank
    length, width = plank.room_mm
    layout = drawing.Layout(
        (plank.length_mm, plank.width_mm),
        drawing.Box(plank.end_trim_mm, plank.edge_trim_mm, length, width),
        [
            drawing.Sawn(_box(piece.place), piece.name, piece.row)
            for section in plan.sections
            for piece in section.pieces
        ],
        [_box(rest) for rest in plan.kept],
        [section.to_mm for section in plan.sections],
        plan.is_crosscut_first,
    )
    said = drawing.SawWords()
    words = drawing.SawWords(gettext(said.title), gettext(said.told))
    drawn = drawing.sawing(layout, words_=words, wide=wide)
    # The drawing package escapes every text and attribute it is given.
    return mark_safe(drawn)  # noqa: S308


@register.filter
def stretch(plan: Plan) -> float:
    """Say how much wider than it is the plank is drawn."""
    plank = plan.cut.plank
    return drawing.stretch(plank.length_mm, plank.width_mm)


@register.simple_tag
def tint(row: int) -> SafeString:
    """Draw the tint of a row's pieces, beside its words."""
    return mark_safe(drawing.key(row))  # noqa: S308 - as above


def _box(where: Place | Offcut) -> drawing.Box:
    return drawing.Box(where.x_mm, where.y_mm, where.length_mm, where.width_mm)
