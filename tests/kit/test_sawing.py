"""Does the picture of a cut plank say where the saw goes, and name each piece?"""

import re
from collections import defaultdict
from xml.etree import ElementTree

import pytest

from travelers.kit.drawing import sawing as drawing
from travelers.kit.drawing.sawing import Box, Layout, Sawn, key, sawing, stretch

SVG = "{http://www.w3.org/2000/svg}"
PIECES = [
    Sawn(Box(25, 5, 500, 135), "B1 A", 0),
    Sawn(Box(528, 5, 500, 135), "B1 B", 0),
    Sawn(Box(1031, 5, 740, 50), '<b>"N2" & A', 1),
]
ACROSS = Layout(
    (2000, 190),
    Box(25, 5, 1950, 180),
    PIECES,
    [Box(1774, 5, 201, 180)],
    [500, 1003, 1746],
    across=True,
)
ALONG = Layout((2000, 190), Box(25, 5, 1950, 180), PIECES, [], [135, 180], across=False)


def read(drawn: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawn)  # noqa: S314 - our own text


def rect(element: ElementTree.Element) -> tuple[float, ...]:
    return tuple(float(element.attrib[n]) for n in ("x", "y", "width", "height"))


@pytest.mark.parametrize("layout", [ACROSS, ALONG])
@pytest.mark.parametrize("wide", [640, 1000])
def test_it_is_well_formed_and_needs_no_style(layout: Layout, wide: float) -> None:
    root = read(sawing(layout, wide=wide))
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title")
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in {"style", "script", "use"}
        assert not {"style", "id"} & set(element.attrib)
    silent = read(key(5))
    assert silent.get("aria-hidden") == "true"
    assert silent.find(f"{SVG}title") is None


@pytest.mark.parametrize("layout", [ACROSS, ALONG])
def test_pieces_are_named_and_first_cuts_are_numbered(layout: Layout) -> None:
    root = read(sawing(layout))
    said = [element.text for element in root.iter(f"{SVG}text")]
    assert [one for one in said if one in {piece.name for piece in PIECES}] == [
        piece.name for piece in PIECES
    ]
    assert [float(one) for one in said if re.fullmatch(r"[\d.]+", one or "")] == [
        *layout.cuts
    ]


def test_each_piece_lies_where_it_is_cut() -> None:
    root = read(sawing(ACROSS))
    boxes: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    for element in root.iter(f"{SVG}rect"):
        boxes[element.attrib["class"].split()[0]].append(rect(element))
    ((x, y, wide, high),) = boxes["sawing-plank"]
    for piece, found in zip(PIECES, boxes["sawing-piece"], strict=True):
        share = (
            (found[0] - x) / wide * 2000,
            (found[1] - y) / high * 190,
            found[2] / wide * 2000,
            found[3] / high * 190,
        )
        box = (piece.box.x, piece.box.y, piece.box.length, piece.box.width)
        assert share == pytest.approx(box, abs=0.5)


def test_a_long_plank_is_drawn_wider_than_it_is_and_a_broad_one_is_not() -> None:
    assert stretch(4000, 100) == drawing.MOST_STRETCH
    assert stretch(4000, 200) == pytest.approx(3.2)
    assert stretch(1000, 400) == 1


def test_marks_that_would_lie_on_one_another_are_left_out() -> None:
    close = Layout((4000, 200), Box(0, 0, 4000, 200), [], [], [100, 110, 900], True)
    said = [element.text for element in read(sawing(close)).iter(f"{SVG}text")]
    assert said == ["100", "900"]


def test_a_name_too_long_for_its_piece_is_not_written_over_others() -> None:
    tiny = [Sawn(Box(0, 0, 20, 10), "B12 A", 0)]
    small = Layout((4000, 200), Box(0, 0, 4000, 200), tiny, [], [], True)
    assert list(read(sawing(small)).iter(f"{SVG}text")) == []
