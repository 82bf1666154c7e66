"""Is every no said with a code, a sentence and a remedy?"""

import ast
import importlib
import re
from dataclasses import replace
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

from tests.house import tree
from travelers.kit.refusals import NOT_FOUND, Refusal, refusal

APPS = {path.parts[1] for path in tree.python_files("travelers") if len(path.parts) > 2}
STATUSES = {403, 404, 409, 422, 503, 507}
COLD_WORDS = re.compile(r"\b(error|invalid|illegal|success\w*)\b|!", re.IGNORECASE)


def all_refusals() -> list[Refusal]:
    """Collect them from every module that declares some."""
    for path in declaring_modules():
        importlib.import_module(".".join(path.with_suffix("").parts))
    return [Refusal.registry[code] for code in sorted(Refusal.registry)]


def declaring_modules() -> list[Path]:
    return [
        path
        for path in tree.python_files("travelers")
        if any(_declarations(tree.parsed(path)))
    ]


def _declarations(module: ast.Module) -> list[ast.Call]:
    return [
        node
        for node in ast.walk(module)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "refusal"
    ]


def faults(one: Refusal) -> list[str]:
    """Say what is wrong with the wording of one refusal."""
    app, _, reason = one.code.partition(".")
    found = []
    if app not in APPS or not re.fullmatch(r"[a-z][a-z_0-9]*", reason):
        found.append("the code is not app.reason")
    if one.status not in STATUSES:
        found.append(f"no refusal answers {one.status}")
    for part, words in (("sentence", one.sentence), ("remedy", one.remedy)):
        found += [f"the {part} {fault}" for fault in _faults_of_text(words)]
    if one.sentence == one.remedy:
        found.append("the remedy repeats the sentence")
    return [f"{one.code}: {fault}" for fault in found]


def _faults_of_text(words: str) -> list[str]:
    found = []
    if not words.strip():
        return ["is empty"]
    if not words.endswith("."):
        found.append("has no full stop")
    if COLD_WORDS.search(words):
        found.append("blames or shouts")
    names = [name for _, name, _, _ in Formatter().parse(words) if name is not None]
    found += [f"has {{{name}}}" for name in names if not name.isidentifier()]
    return found


def unmarked(module: ast.Module) -> list[str]:
    """Find sentences and remedies that the translators would not get to see."""
    return [
        f"line {text.lineno}: not marked for translation"
        for call in _declarations(module)
        for text in [*call.args[1:3], *(k.value for k in call.keywords)]
        if not _is_marked(text) and not _is_plain_option(text, call)
    ]


def _is_marked(node: ast.expr) -> bool:
    return (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "gettext_noop"
        and all(isinstance(arg, ast.Constant) for arg in node.args)
    )


def _is_plain_option(node: ast.expr, call: ast.Call) -> bool:
    options = [k.value for k in call.keywords if k.arg in {"status", "may_allow"}]
    return node in options


def test_refusals_are_well_worded() -> None:
    refusals = all_refusals()
    assert len(refusals) > 2
    assert [fault for one in refusals for fault in faults(one)] == []


def test_no_two_refusals_say_the_same() -> None:
    sentences = [one.sentence for one in all_refusals()]
    assert sorted(sentences) == sorted(set(sentences))


def test_refusals_are_declared_where_their_code_says() -> None:
    wrong = [
        f"{path}: {call.args[0].value!r}"
        for path in declaring_modules()
        for call in _declarations(tree.parsed(path))
        if isinstance(call.args[0], ast.Constant)
        and not str(call.args[0].value).startswith(f"{path.parts[1]}.")
    ]
    assert wrong == []


def test_refusals_are_marked_for_translation() -> None:
    assert [
        f"{path}: {line}"
        for path in declaring_modules()
        for line in unmarked(tree.parsed(path))
    ] == []


def test_a_code_cannot_be_declared_twice() -> None:
    with pytest.raises(ValueError, match="declared twice"):
        refusal(NOT_FOUND.code, "One sentence.", "One remedy.")


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"code": "nowhere.lost"}, "the code is not app.reason"),
        ({"code": "kit"}, "the code is not app.reason"),
        ({"status": 500}, "no refusal answers 500"),
        ({"sentence": "Nothing here"}, "the sentence has no full stop"),
        ({"remedy": " "}, "the remedy is empty"),
        ({"sentence": "This code is invalid."}, "the sentence blames or shouts"),
        ({"remedy": "Look again!."}, "the remedy blames or shouts"),
        ({"sentence": "Wait for {0}."}, "the sentence has {0}"),
        ({"remedy": NOT_FOUND.sentence}, "the remedy repeats the sentence"),
    ],
)
def test_a_badly_worded_refusal_is_found(change: dict[str, Any], fault: str) -> None:
    assert faults(NOT_FOUND) == []
    assert [
        line.partition(": ")[2] for line in faults(replace(NOT_FOUND, **change))
    ] == [fault]


def test_an_unmarked_refusal_is_found() -> None:
    good = 'refusal("kit.a", gettext_noop("One."), gettext_noop("Two."), status=404)'
    assert unmarked(ast.parse(good)) == []
    bad = 'refusal("kit.a", gettext_noop("One."), "Two.")'
    assert unmarked(ast.parse(bad)) == ["line 1: not marked for translation"]
