"""Every word a person reads goes through gettext: templates and the labels, helps and messages of Python."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted(path for path in (ROOT / "templates").rglob("*") if path.suffix in {".html", ".txt"})
SAME_EVERYWHERE = {"Ladlework", "CSV", "YAML", "ml"}
"""Words that are the same in every language."""

TRANSLATED = re.compile(r"{%-?\s*blocktrans(?:late)?\b.*?{%-?\s*endblocktrans(?:late)?\s*-?%}", re.S)
UNSEEN = re.compile(
    r"{%\s*block \w+_class\s*%}.*?{%\s*endblock\b.*?%}"
    r"|{%\s*comment\b.*?{%\s*endcomment\s*%}|{#.*?#}|<!--.*?-->|<style\b.*?</style>",
    re.S,
)
MARKUP = re.compile(r"{%.*?%}|{{.*?}}", re.S)
READ_ALOUD = re.compile(r"""\b(?:aria-label|placeholder|title|alt)=(["'])(.*?)\1""", re.S)
TAGS = re.compile(r"<[^<>]*>", re.S)
WORD = re.compile(r"[^\W\d_]{2,}")


def words_left(text: str) -> set[str]:
    """Words of a template that stand outside every translation: between tags, and in attributes that are read out."""
    bare = MARKUP.sub(" ", UNSEEN.sub(" ", TRANSLATED.sub(" ", text)))
    spoken = " ".join(match[2] for match in READ_ALOUD.finditer(bare))
    shown = re.sub(r"&\w+;", " ", TAGS.sub(" ", bare))
    return set(WORD.findall(shown)) | set(WORD.findall(spoken))


def test_the_check_itself_finds_plain_words():
    assert words_left("<p>Hello {{ name }}</p>") == {"Hello"}
    assert words_left('<a aria-label="Close">{% translate "Bye" %}</a>') == {"Close"}
    assert words_left("<p>{% blocktranslate trimmed %}Hello{% endblocktranslate %}</p>") == set()


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_templates_hold_no_plain_words(path: Path):
    assert words_left(path.read_text("utf-8")) - SAME_EVERYWHERE == set()


SHOWN_KEYWORDS = {"label", "help_text", "verbose_name", "empty_label"}


def plain_words(tree: ast.AST) -> list[str]:
    """Keywords and messages a person reads that are given as a plain text."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        shown = [keyword.value for keyword in node.keywords if keyword.arg in SHOWN_KEYWORDS]
        if isinstance(node.func, ast.Attribute) and getattr(node.func.value, "id", "") == "messages":
            shown += node.args[1:2]
        found += [
            f"line {part.lineno}: {part.value}"
            for part in shown
            if isinstance(part, ast.Constant) and isinstance(part.value, str) and WORD.search(part.value)
        ]
    return found


def test_labels_helps_and_messages_hold_no_plain_words():
    found = []
    for room in ("coaching", "clients", "plans"):
        for path in sorted((ROOT / room).rglob("*.py")):
            if "migrations" in path.parts or path.name == "apps.py":
                continue
            found += [
                f"{path.relative_to(ROOT)} {line}" for line in plain_words(ast.parse(path.read_text("utf-8")))
            ]
    assert found == []
