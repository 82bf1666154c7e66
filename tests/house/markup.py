"""What does a template hold, once Django's tags are set apart from the HTML?"""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

from django.template.base import Lexer, TokenType

# Stands in the HTML for whatever Django will put there; no page uses this letter.
FILLED = "\ue000"
SILENT_BLOCKS = {
    "comment": "endcomment",
    "blocktranslate": "endblocktranslate",
    "blocktrans": "endblocktrans",
    "verbatim": "endverbatim",
}
SHOWN_ATTRIBUTES = {
    "alt", "title", "placeholder", "aria-label", "aria-description",
    "aria-roledescription", "aria-valuetext", "label",
}  # fmt: skip


@dataclass(slots=True)
class Element:
    tag: str
    attributes: dict[str, str]
    line: int


@dataclass(slots=True)
class Template:
    """A template, taken apart: elements and texts of its HTML, and Django's tags."""

    elements: list[Element] = field(default_factory=list)
    texts: list[tuple[int, str]] = field(default_factory=list)
    tags: list[tuple[int, str]] = field(default_factory=list)
    variables: list[tuple[int, str]] = field(default_factory=list)

    def literals(self, *tags: str) -> list[str]:
        """List what the given tags name first, if it is written out there."""
        found = (
            re.match(r"""(\w+)\s+["']([^"']+)["']""", content)
            for _, content in self.tags
        )
        return [match[2] for match in found if match and match[1] in tags]

    def partials(self) -> set[str]:
        return {
            content.split()[1]
            for _, content in self.tags
            if content.split()[0] == "partialdef"
        }

    def ids(self) -> set[str]:
        return {
            name
            for element in self.elements
            if (name := element.attributes.get("id", FILLED)) and FILLED not in name
        }


class _Reader(HTMLParser):
    def __init__(self, template: Template) -> None:
        super().__init__(convert_charrefs=False)
        self.template = template
        self.silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_startendtag(tag, attrs)
        if tag in {"script", "style"}:
            self.silent += 1

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.template.elements.append(Element(tag, given, self.getpos()[0]))

    def handle_endtag(self, tag: str) -> None:
        if tag in {"script", "style"}:
            self.silent = max(0, self.silent - 1)

    def handle_data(self, data: str) -> None:
        if not self.silent and data.strip():
            line = self.getpos()[0] + data[: len(data) - len(data.lstrip())].count("\n")
            self.template.texts.append((line, data.strip()))


def take_apart(source: str) -> Template:
    """Separate Django's tags from the HTML and read both."""
    template = Template()
    html = []
    until = ""
    for token in Lexer(source).tokenize():
        content = token.contents.strip()
        first = content.split()[0] if content else ""
        lines = "\n" * token.contents.count("\n")
        if until:
            until = "" if first == until else until
            html.append(lines)
        elif token.token_type == TokenType.TEXT:
            html.append(token.contents)
        elif token.token_type == TokenType.COMMENT:
            html.append(lines)
        elif token.token_type == TokenType.VAR:
            template.variables.append((token.lineno or 0, content))
            html.append(FILLED + lines)
        else:
            template.tags.append((token.lineno or 0, content))
            until = SILENT_BLOCKS.get(first, "")
            # Spaced, so that a tag's name and what Django adds to it stay two words.
            html.append(("" if until else f" {FILLED} ") + lines)
    reader = _Reader(template)
    reader.feed("".join(html))
    reader.close()
    return template
