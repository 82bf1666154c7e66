"""How is one SVG element written so that it is well formed and safe?"""

import re
from xml.sax.saxutils import escape

XMLNS = "http://www.w3.org/2000/svg"
# What XML 1.0 allows no character to be (section 2.2).
NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
FACE = "Atkinson Hyperlegible Next, sans-serif"


def num(value: float) -> str:
    """Write a length with at most two decimals and no idle zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def tag(name: str, *inside: str, **attributes: str | float | None) -> str:
    """Write an element; ``class_`` and ``stroke_width`` become SVG's names.

    ``inside`` must be elements already; text goes through :func:`words`.
    """
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{_value(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if not inside:
        return f"<{name}{written}/>"
    return f"<{name}{written}>{''.join(inside)}</{name}>"


def words(text: str) -> str:
    """Make text safe between tags; control characters XML forbids are dropped."""
    return escape(_printable(text))


def text(
    x: float, y: float, said: str, size: float, **attributes: str | float | None
) -> str:
    return tag("text", words(said), x=x, y=y, font_size=size, **attributes)


def picture(
    *inside: str,
    box: tuple[float, float],
    title: str,
    desc: str = "",
    size: tuple[float, float] | None = None,
    role: str = "img",
    **attributes: str | float | None,
) -> str:
    """Wrap a drawing: ``box`` is its own measure, ``size`` what a page gives it."""
    wide, high = box
    told = [tag("title", words(title))]
    if desc:
        told.append(tag("desc", words(desc)))
    return tag(
        "svg",
        *told,
        *inside,
        xmlns=XMLNS,
        viewBox=f"0 0 {num(wide)} {num(high)}",
        width=size[0] if size else None,
        height=size[1] if size else None,
        font_family=FACE,
        role=role,
        **{"aria-label": title} if role != "img" else {},
        **attributes,
    )


def _value(value: str | float) -> str:
    if isinstance(value, str):
        return escape(_printable(value), {'"': "&quot;"})
    return num(value)


def _printable(said: str) -> str:
    return NOT_XML.sub("", said)
