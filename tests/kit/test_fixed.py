"""Is a piece that is drawn once for its values drawn right for each of them?"""

import pytest
from django.template import Context, Template, TemplateSyntaxError
from django.utils.safestring import mark_safe
from django.utils.translation import override

from travelers.kit.templatetags.kit import Fixed

PIECE = Template(
    "{% load i18n kit %}{% fixed word=word %}"
    '{% translate "Hold" %} {{ word }} {{ secret }}{% endfixed %}'
)


def drawn(**values: object) -> str:
    return PIECE.render(Context(values))


def test_each_value_has_its_own_piece() -> None:
    assert [drawn(word="one"), drawn(word="two"), drawn(word="one")] == [
        "Hold one ",
        "Hold two ",
        "Hold one ",
    ]


def test_a_piece_sees_only_what_it_names() -> None:
    assert drawn(word="a", secret="of another") == "Hold a "


def test_each_language_has_its_own_piece() -> None:
    with override("es"):
        spanish = drawn(word="one")
    assert spanish.endswith(" one ")
    assert spanish != drawn(word="one")


def test_what_is_safe_does_not_pass_for_what_is_not() -> None:
    assert drawn(word=mark_safe("<b>")) == "Hold <b> "
    assert drawn(word="<b>") == "Hold &lt;b&gt; "


def test_one_is_not_taken_for_true() -> None:
    assert [drawn(word=1), drawn(word=True)] == ["Hold 1 ", "Hold True "]


def test_it_is_drawn_once_and_does_not_grow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Fixed, "MOST", 3)
    made: list[int] = []

    class Said:
        def __str__(self) -> str:
            made.append(1)
            return "said"

    said = Said()
    assert drawn(word=said) == drawn(word=said)
    assert len(made) == 1
    (piece,) = PIECE.nodelist.get_nodes_by_type(Fixed)
    for number in range(10):
        drawn(word=number)
        assert len(piece._drawn) <= 3


def test_it_takes_named_values_alone() -> None:
    with pytest.raises(TemplateSyntaxError, match="name=value alone: word"):
        Template("{% load kit %}{% fixed word %}{% endfixed %}")
