"""Do the drawings say what is so: well formed, safe, countable, in black and white?"""

import re
import time
from collections.abc import Callable
from functools import partial
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from bs4 import BeautifulSoup
from django.template import Context, Template
from django.utils import translation

from travelers.formulas import tables
from travelers.kit.drawing import letters, marks, pen, signs
from travelers.kit.drawing.answers import Answer, answer_shape
from travelers.kit.drawing.control import Limits, Point, control
from travelers.kit.drawing.fingerboard import (
    MOST_MARKS,
    BoardWords,
    Cell,
    Fret,
    Strand,
    board,
)
from travelers.kit.drawing.limits import limit_bar
from travelers.kit.drawing.marks import ON_FLOOR, Look
from travelers.kit.drawing.outlines import outline
from travelers.kit.drawing.strip import Dot, spark, strip

SVG = "{http://www.w3.org/2000/svg}"
NASTY = '<script>alert("&\x07\x1b")</script>'
FRETS = [
    Fret("DRY", "Drying room"),
    Fret("MILL", "Machining"),
    Fret("CURE", "Cure"),
    Fret("JOINT", "Neck joint"),
    Fret("TEST", "Test play"),
]
STRINGS = [
    Strand("BODY", "Body"),
    Strand("NECK", "Neck"),
    Strand("ELECTRONICS", "Electronics"),
    Strand("ASSEMBLY", "Assembly", joins_at="JOINT"),
]
CELLS = [
    Cell("BODY", "DRY", {Look.DWELLING: 31, Look.WAITING: 4}, "/b/dry/?a=1&b=2"),
    Cell("BODY", "MILL", {Look.IN_WORK: 1, Look.HELD: 2}, "/b/mill/"),
    Cell("NECK", "CURE", {}, "/n/cure/"),
    Cell("ASSEMBLY", "TEST", {Look.WAITING: 6, Look.SCRAPPED: 1}, "/a/test/"),
]
DOTS = [
    *(Dot("BODY", Look.DONE, f"step {i}") for i in range(5)),
    Dot("BODY", Look.DWELLING, "Second drying"),
    *(Dot("BODY", Look.TO_COME) for _ in range(4)),
    Dot("NECK", Look.DONE),
    Dot("NECK", Look.VOID),
    Dot("NECK", Look.HELD, "Fret levelling"),
    Dot("ASSEMBLY", Look.TO_COME),
]
DRAWINGS: dict[str, Callable[[], str]] = {
    "board": partial(board, CELLS, FRETS, STRINGS),
    "strip": partial(strip, DOTS, STRINGS),
    "spark": partial(spark, DOTS, STRINGS),
    "limit bar": partial(limit_bar, 1.31, 1.2, 1.27, 1.34, unit="mm"),
    "answer": partial(answer_shape, Answer.LOOK),
    **{look.value: partial(marks.mark, look) for look in Look},
    **{code: partial(signs.sign, code) for code in signs.CODES},
    **{
        f"{part} {shape}": partial(outline, part, shape, [(0.2, 0.4, 1)])
        for part in ("body", "neck", "electronics", "instrument")
        for shape in ("solid", "semi_hollow")
    },
}


def read(drawn: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawn)  # noqa: S314 - our own text, not a stranger's


def said(root: ElementTree.Element) -> list[str]:
    return [e.text or "" for e in root.iter(f"{SVG}text")]


def links(root: ElementTree.Element) -> dict[str, ElementTree.Element]:
    return {e.attrib["href"]: e for e in root.iter(f"{SVG}a")}


def marks_in(cell: ElementTree.Element) -> dict[str, int]:
    """Count the marks of each look that a cell really draws."""
    outlines_a_mark = {
        "waiting": 2,
        "in-work": 1,
        "dwelling": 2,
        "held": 1,
        "scrapped": 1,
    }
    counted = {}
    for path in cell.iter(f"{SVG}path"):
        name = path.attrib["class"].rpartition("mark-")[2]
        if name in outlines_a_mark:
            drawn = path.attrib["d"].count("M")
            counted[name] = drawn // outlines_a_mark[name]
    return counted


@pytest.mark.parametrize("name", DRAWINGS)
def test_every_drawing_is_well_formed_and_needs_no_style(name: str) -> None:
    drawn = DRAWINGS[name]()
    root = read(drawn)
    assert root.tag == f"{SVG}svg"
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in {"style", "script", "use"}
        assert not {"style", "id"} & set(element.attrib), element.tag
        assert not [name for name in element.attrib if name.startswith("on")]


@pytest.mark.parametrize("name", DRAWINGS)
def test_every_drawing_has_a_name_or_stands_silent_beside_its_word(name: str) -> None:
    root = read(DRAWINGS[name]())
    if root.get("aria-hidden") == "true":
        assert root.find(f"{SVG}title") is None
    else:
        assert root.get("role") in {"img", "group"}
        assert root.findtext(f"{SVG}title")


@pytest.mark.parametrize("name", DRAWINGS)
def test_the_same_values_give_the_same_bytes(name: str) -> None:
    assert DRAWINGS[name]() == DRAWINGS[name]()


def test_the_board_writes_every_count_as_a_number() -> None:
    root = read(board(CELLS, FRETS, STRINGS))
    numbers = {
        href: [t for t in said(cell) if t.isdigit()]
        for href, cell in links(root).items()
    }
    assert numbers == {
        "/b/dry/?a=1&b=2": ["35"],
        "/b/mill/": ["3"],
        "/n/cure/": ["0"],
        "/a/test/": ["7"],
    }


def test_a_cell_says_its_place_its_number_and_each_state() -> None:
    cell = links(read(board(CELLS, FRETS, STRINGS)))["/b/mill/"]
    assert cell.attrib["aria-label"] == "Body, Machining: 3 (in work 1, held 2)"
    assert cell.findtext(f"{SVG}title") == cell.attrib["aria-label"]


def test_a_mark_is_drawn_for_each_part_in_its_shape() -> None:
    found = links(read(board(CELLS, FRETS, STRINGS)))
    assert marks_in(found["/b/dry/?a=1&b=2"]) == {"waiting": 4, "dwelling": 31}
    assert marks_in(found["/b/mill/"]) == {"in-work": 1, "held": 2}
    assert marks_in(found["/n/cure/"]) == {}
    assert marks_in(found["/a/test/"]) == {"waiting": 6, "scrapped": 1}


@pytest.mark.parametrize("total", [1, 40, 41, 83, 400, 12_345, 10**7])
def test_no_cell_draws_more_marks_than_it_has_room_for(total: int) -> None:
    cell = Cell("BODY", "DRY", {Look.DWELLING: total, Look.HELD: 1}, "/here/")
    root = read(board([cell, *CELLS[1:]], FRETS, STRINGS))
    drawn = marks_in(links(root)["/here/"])
    assert 2 <= sum(drawn.values()) <= MOST_MARKS
    assert str(total + 1) in said(root)
    told = [t for t in said(root) if t.startswith("One mark")]
    scale = int(re.sub(r"\D", "", told[0])) if told else 1
    assert drawn["dwelling"] == -(-total // scale)


def test_crowding_is_drawn_to_one_scale_all_over_the_board() -> None:
    crowded = Cell("BODY", "DRY", {Look.DWELLING: 100}, "/many/")
    other = Cell("NECK", "MILL", {Look.WAITING: 20}, "/some/")
    found = links(read(board([crowded, other], FRETS, STRINGS)))
    many = marks_in(found["/many/"])["dwelling"]
    some = marks_in(found["/some/"])["waiting"]
    assert many == 5 * some


def test_the_cost_of_a_board_does_not_grow_with_the_parts() -> None:
    def drawn(times: int) -> str:
        many = [
            Cell(
                s.code, f.code, {look: n * times for n, look in enumerate(ON_FLOOR, 1)}
            )
            for s in STRINGS
            for f in FRETS
        ]
        return board(many, FRETS, STRINGS)

    few, many = drawn(10), drawn(100_000)
    assert len(many) < 1.3 * len(few)
    assert many.count("<path") <= few.count("<path")
    start = time.perf_counter()
    drawn(10**9)
    # Generous for a slow machine; drawing each of the parts would take hours.
    assert time.perf_counter() - start < 1.0


def test_marks_stay_inside_their_space_and_off_the_frets() -> None:
    many = [
        Cell(s, f.code, dict.fromkeys(ON_FLOOR, 9))
        for s in ("BODY", "NECK", "ELECTRONICS")
        for f in FRETS[:3]
    ]
    root = read(board(many, FRETS, STRINGS))
    frets = [
        float(e.attrib["d"][1:].split(" ")[0])
        for e in root.iter(f"{SVG}path")
        if e.get("class") == "fb-fret"
    ]
    grounds = [e for e in root.iter(f"{SVG}path") if e.get("class") == "mark-ground"]
    assert len(grounds) == 9
    for ground in grounds:
        starts = [float(x) for x in re.findall(r"M(-?[\d.]+) ", ground.attrib["d"])]
        left, right = min(starts), max(starts) + 10
        assert not [x for x in frets if left < x < right]


def test_parts_off_their_string_are_counted_at_the_joint() -> None:
    back = Cell("ASSEMBLY", "CURE", {Look.WAITING: 2}, "/back/")
    there = Cell("ASSEMBLY", "JOINT", {Look.WAITING: 3}, "/joint/")
    cell = links(read(board([there, back], FRETS, STRINGS)))["/joint/"]
    assert cell.attrib["aria-label"] == "Assembly, Neck joint: 5 (waiting 5)"


def test_a_board_with_links_is_no_picture_for_a_screen_reader() -> None:
    assert read(board(CELLS, FRETS, STRINGS)).get("role") == "group"
    plain = [Cell(c.strand, c.fret, c.counts) for c in CELLS]
    assert read(board(plain, FRETS, STRINGS)).get("role") == "img"


@pytest.mark.parametrize("stages", [1, 2, 6, 14, 24])
def test_every_stage_keeps_its_name_within_the_board(stages: int) -> None:
    names = ["Lumber yard", "Second drying", "Print and seal", "Setup"]
    frets = [Fret(str(i), names[i % 4]) for i in range(stages)]
    root = read(board([], frets, [Strand("BODY", "Body")]))
    wide = float(root.attrib["viewBox"].split()[2])
    words = " ".join(said(root))
    assert words.count("Setup") == stages // 4
    for text in root.iter(f"{SVG}text"):
        if text.get("text-anchor") == "middle":
            half = letters.width(text.text or "", float(text.attrib["font-size"])) / 2
            assert float(text.attrib["x"]) - half >= 0
            assert float(text.attrib["x"]) + half <= wide


def test_spaces_narrow_towards_the_bridge_as_frets_do() -> None:
    frets = [Fret(str(i), f"S{i}") for i in range(9)]
    root = read(board([], frets, [Strand("BODY", "Body")]))
    at = [
        float(e.attrib["d"][1:].split(" ")[0])
        for e in root.iter(f"{SVG}path")
        if e.get("class") == "fb-fret"
    ]
    spaces = [right - left for left, right in pairwise(at)]
    # Equal temperament: each space is 2 ** (-1 / 12) of the one before.
    for wide, narrow in pairwise(spaces):
        assert narrow / wide == pytest.approx(2 ** (-1 / 12), abs=0.003)


@pytest.mark.parametrize(
    ("cells", "frets", "strings"),
    [
        ([], [], STRINGS),
        ([], FRETS, []),
        ([Cell("BODY", "NOWHERE", {})], FRETS, STRINGS),
        ([Cell("NOBODY", "DRY", {})], FRETS, STRINGS),
        ([Cell("BODY", "DRY", {Look.HELD: -1})], FRETS, STRINGS),
        ([], FRETS, [STRINGS[0], STRINGS[3]]),
        ([], FRETS, [*STRINGS[:3], Strand("A", "A", joins_at="NOWHERE")]),
    ],
)
def test_a_board_that_cannot_be_is_refused(
    cells: list[Cell], frets: list[Fret], strings: list[Strand]
) -> None:
    with pytest.raises(ValueError, match=r"board|string|stage|nought"):
        board(cells, frets, strings)


def test_names_are_text_and_never_markup() -> None:
    frets = [Fret("DRY", NASTY), *FRETS[1:]]
    strings = [Strand("BODY", NASTY), *STRINGS[1:]]
    cells = [Cell("BODY", "DRY", {Look.HELD: 1}, f'/"><script>{NASTY}')]
    dots = [Dot("BODY", Look.IN_WORK, NASTY)]
    words = BoardWords(title=NASTY, desc=NASTY)
    for drawn in (
        board(cells, frets, strings, words_=words),
        strip(dots, strings),
        spark(dots, strings),
        outline("body", "solid", [(0, 1, NASTY)], title=NASTY, desc=NASTY),
        signs.sign("W001", label=NASTY),
        limit_bar(1, 0, None, 2, unit=NASTY),
    ):
        assert "<script" not in drawn
        assert "alert" in drawn or "&lt;scr" in drawn
        assert not list(read(drawn).iter("script"))


def test_paper_sets_the_strip_in_larger_letters() -> None:
    root = read(strip(DOTS, STRINGS, wide=640))
    assert root.attrib["viewBox"].split()[2] == "640"
    # On 186 mm between A4's margins the smallest letters stand 3.7 mm, over 10 pt.
    smallest = min(float(e.attrib["font-size"]) for e in root.iter(f"{SVG}text"))
    assert smallest * 186 / 640 / 25.4 * 72 > 10
    ends = [float(e.attrib["x"]) for e in root.iter(f"{SVG}text")]
    assert max(ends) < 640
    with pytest.raises(ValueError, match="wide"):
        strip(DOTS, STRINGS, wide=300)


def test_the_strip_draws_each_operation_and_names_what_is_at_hand() -> None:
    root = read(strip(DOTS, STRINGS))
    words = said(root)
    assert "Second drying: drying or curing" in words
    assert "Fret levelling: held" in words
    solid = [e for e in root.iter(f"{SVG}path") if e.get("class") == "mark mark-done"]
    # Five on the body's string, one on the neck's, one that explains the shape.
    assert sum(e.attrib["d"].count("M") for e in solid) == 5 + 1 + 1
    told = root.findtext(f"{SVG}desc") or ""
    assert "Body: 5 of 10 done; Second drying: drying or curing" in told
    # What is left out of this instrument's route is not counted.
    assert "Neck: 1 of 2 done; Fret levelling: held" in told


def test_the_spark_is_as_large_as_a_line_of_a_table() -> None:
    root = read(spark(DOTS, STRINGS))
    assert root.attrib["viewBox"] == "0 0 120 16"
    assert {e.get("class") for e in root.iter(f"{SVG}path")} >= {
        "fb-done",
        "mark mark-dwelling",
        "mark mark-held",
    }


def test_a_dot_on_no_string_is_refused() -> None:
    with pytest.raises(ValueError, match="No string"):
        strip([Dot("TAIL", Look.DONE)], STRINGS)


def test_the_shapes_of_the_states_all_differ() -> None:
    shapes = {marks.shapes(look, [(8, 8)], 6).split(' d="')[1] for look in Look}
    outlines = {shape.split('"')[0] for shape in shapes}
    assert len(outlines) == len(Look)
    answers = {answer_shape(a).split(' d="')[1].split('"')[0] for a in Answer}
    assert len(answers) == len(Answer)


def test_every_sign_has_the_code_and_referent_of_the_standard() -> None:
    """The table's source: ISO 7010's registered signs, see shared/README.md."""
    registered = tables.signs()
    for code in signs.CODES:
        assert code in registered
        assert signs.referent(code) == registered[code].referent


def test_the_sign_of_each_family_has_the_frame_of_its_family() -> None:
    """A triangle warns, a disc commands, a ring with a slash forbids: ISO 3864-1,
    from memory."""
    for code in signs.CODES:
        drawn = signs.sign(code)
        frame = {
            "W": 'd="M50 9L95 87H5z" fill="#f9b800" stroke="#000"',
            "M": '<circle cx="50" cy="50" r="46" fill="#00538a"/>',
            "P": 'd="M20.3 20.3L79.7 79.7" stroke="#b0261e"',
            "E": 'height="92" rx="4" fill="#1f7a4d"',
            "F": 'height="92" rx="4" fill="#b0261e"',
        }[code[0]]
        assert frame in drawn


def test_no_two_signs_look_alike() -> None:
    drawn = [re.sub(r"<title>.*?</title>", "", signs.sign(c)) for c in signs.CODES]
    assert len(set(drawn)) == len(drawn)


@pytest.mark.parametrize("code", ["", "W999", "X001", "w001", "W003"])
def test_an_unknown_sign_is_refused(code: str) -> None:
    with pytest.raises(ValueError, match="No drawing"):
        signs.sign(code)


def test_a_marked_place_is_ringed_where_it_was_touched() -> None:
    root = read(outline("body", "semi_hollow", [(0.25, 0.5, 7), (1, 0, "12")]))
    groups = [e for e in root.iter(f"{SVG}g") if e.get("class") == "outline-place"]
    centres = [
        (float(c.attrib["cx"]), float(c.attrib["cy"]))
        for c in (g.find(f"{SVG}circle") for g in groups)
        if c is not None
    ]
    assert centres == [(250, 350), (1000, 0)]
    assert said(root) == ["7", "12"]
    assert root.attrib["viewBox"] == "0 0 1000 700"


@pytest.mark.parametrize(
    ("part", "shape", "places"),
    [
        ("tail", "solid", []),
        ("body", "round", []),
        ("body", "solid", [(1.01, 0.5, 1)]),
        ("body", "solid", [(0.5, float("nan"), 1)]),
    ],
)
def test_an_outline_that_cannot_be_is_refused(
    part: str, shape: str, places: list[tuple[float, float, int]]
) -> None:
    with pytest.raises(ValueError, match=r"outline|place"):
        outline(part, shape, places)


def pointer(drawn: str) -> tuple[float, str | None]:
    path = next(e for e in read(drawn).iter() if "data-shop-pointer" in e.attrib)
    found = re.fullmatch(r"translate\((\S+) 0\)", path.attrib["transform"])
    assert found
    return float(found[1]), path.get("visibility")


def posts(drawn: str) -> list[float]:
    return [
        float(e.attrib["d"][1:].split(" ")[0])
        for e in read(drawn).iter()
        if e.get("class") == "limits-post"
    ]


@pytest.mark.parametrize(
    ("value", "side"), [(1.0, -1), (1.2, 0), (1.27, 1), (1.34, 2), (1.5, 3)]
)
def test_the_pointer_stands_on_its_side_of_the_limits(value: float, side: int) -> None:
    drawn = limit_bar(value, 1.2, 1.27, 1.34, unit="mm")
    x, _ = pointer(drawn)
    low, high = posts(drawn)
    expected = {
        -1: x < low,
        0: x == low,
        1: low < x < high,
        2: x == high,
        3: x > high,
    }
    assert expected[side]


@pytest.mark.parametrize("value", [1.13, 1.25, 1.41, -5.0, 99.0])
def test_a_script_finds_the_pointer_from_the_scale_written_on_the_bar(
    value: float,
) -> None:
    drawn = limit_bar(value, 1.2, 1.27, 1.34)
    at = {k: float(v) for k, v in read(drawn).attrib.items() if k.startswith("data-")}
    share = (value - at["data-shop-low"]) / (at["data-shop-high"] - at["data-shop-low"])
    left, right = at["data-shop-left"], at["data-shop-right"]
    x = left + (right - left) * min(1, max(0, share))
    assert pointer(drawn)[0] == pytest.approx(x, abs=0.01)


def test_the_bar_writes_its_limits_and_hides_an_absent_reading() -> None:
    drawn = limit_bar(None, 0.3, 0.35, 0.4, unit="mm")
    assert said(read(drawn)) == ["at least 0.30 mm", "at most 0.40 mm"]
    assert pointer(drawn)[1] == "hidden"
    assert len(posts(limit_bar(3, None, None, 6))) == 1


def test_a_bar_without_limits_or_with_crossed_ones_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a limit"):
        limit_bar(1, None, None, None)
    with pytest.raises(ValueError, match="above"):
        limit_bar(1, 2, None, 1)


def test_numbers_are_short_and_never_in_exponents() -> None:
    assert [pen.num(x) for x in (0.0, -0.001, 1e-9, 2.50, 100, 1e7)] == [
        "0", "0", "0", "2.5", "100", "10000000",
    ]  # fmt: skip


def test_lines_break_at_spaces_and_long_words_stay_whole() -> None:
    assert letters.wrap("Print and seal", 10, 50) == ["Print and", "seal"]
    assert letters.wrap("Fingerboardgluing", 10, 20) == ["Fingerboardgluing"]
    cut = letters.clip("Fingerboard gluing", 10, 50)
    assert cut.endswith("…")
    assert letters.width(cut, 10) <= 50


def test_a_state_is_a_mark_and_a_word() -> None:
    page = Template("{% load drawing %}{% state 'HELD' %}").render(Context())
    assert "mark-held" in page
    assert ">held<" in page


def test_templates_draw_in_the_language_of_the_reader() -> None:
    source = "{% load drawing %}{% board cells frets strings %}{{ 'M004'|referent }}"
    context = Context({"cells": CELLS, "frets": FRETS, "strings": STRINGS})
    with translation.override("en"):
        page = Template(source).render(context)
    assert "Body, Machining: 3 (in work 1, held 2)" in page
    assert page.endswith("Wear eye protection")


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definitions of contrast ratio and relative luminance."""

    def light(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (
            c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts
        )
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    bright, dim = sorted((light(one), light(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


@pytest.fixture(scope="module")
def materials() -> dict[str, dict[str, str]]:
    """Read the tokens of the sheet, by day and by night."""
    sheet = Path("travelers/kit/static/kit/base.css")
    day, _, night = (
        (Path(__file__).parents[2] / sheet)
        .read_text(encoding="utf-8")
        .partition("@media (prefers-color-scheme: dark)")
    )
    token = re.compile(r"--([\w-]+):\s*(#[0-9a-f]{6})")
    light = dict(token.findall(day))
    dark = {**light, **dict(token.findall(night.partition("*,")[0]))}
    return {"day": light, "night": dark}


def test_contrast_is_measured_as_the_guideline_says() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("light", ["day", "night"])
@pytest.mark.parametrize(
    ("ink", "grounds", "least"),
    [
        ("ink", "ground plate plate-2 fretboard inlay inlay-2", 7),
        ("ink-soft", "ground plate plate-2 fretboard", 7),
        ("link", "ground plate", 7),
        ("press-ink", "press", 7),
        ("head-ink", "head", 7),
        ("edge", "ground plate", 3),
        ("focus", "ground plate", 3),
        ("nickel", "head", 3),
        ("string", "fretboard", 3),
    ],
)
def test_letters_and_edges_stand_out_by_day_and_by_night(
    materials: dict[str, dict[str, str]], light: str, ink: str, grounds: str, least: int
) -> None:
    """WCAG 2.2: 7:1 for text (1.4.6), 3:1 for edges and focus (1.4.11, 2.4.13)."""
    tokens = materials[light]
    for ground in grounds.split():
        assert contrast(tokens[ink], tokens[ground]) >= least, ground


def test_the_rules_of_a_chart_are_named_where_they_begin_and_have_room() -> None:
    broken = ["", "1", "1", "1,2", "1,2,3", "", "1", *[""] * 60]
    points = [Point(float(n % 3), f"W{n}", rules=one) for n, one in enumerate(broken)]
    drawn = control(points, Limits(1.0, 0.0, 2.0))
    soup = BeautifulSoup(drawn, "html.parser")
    assert len(soup.select(".control-signal")) == 5
    named = [(float(one["x"]), one.get_text()) for one in soup.select(".control-rule")]
    assert [rules for _, rules in named] == ["1", "1,2", "1"]
    for (x, rules), (other, more) in pairwise(named):
        assert other - x > 13 * 0.5 * (len(rules) + len(more)) / 2
