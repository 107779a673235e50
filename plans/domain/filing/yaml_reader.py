"""YAML in the plain part that people write: fields, lists and text. No tags, anchors, aliases or second documents.

It is read event by event, without recursion, so that no depth of brackets can exhaust the stack, and so that every
value keeps its line. Values stay the text that was typed: ``no`` is a word here, and a number keeps its digits.
"""

from collections.abc import Callable, Iterator

import yaml

from plans.domain.filing.findings import Findings
from plans.domain.filing.tree import Fields, Items, Node, Place, Text

DEEPEST = 12
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_EXPLAINED = (
    (
        "cannot start any token",
        "A tab or another sign stands where a value should begin.",
        "Indent with spaces.",
    ),
    (
        "mapping values are not allowed",
        "A colon and a space begin a field, and no field can begin here.",
        "Put the text in double quotes, or start the field on its own line.",
    ),
    ("quoted scalar", "A quotation mark is not closed.", "Close it, or take the first one away."),
    (
        "expected ',' or",
        "A bracket is not closed, or a comma is missing.",
        "Close the bracket on this line or before.",
    ),
    (
        "could not find expected ':'",
        "A field name without its colon.",
        "Write the name, a colon and a space.",
    ),
    ("found a tab", "A tab is used to indent.", "Indent with spaces."),
)
_OPENED = ("while scanning a quoted", "while parsing a flow")
_OTHERWISE = (
    "The file cannot be read from this line on.",
    "Compare the indentation and the punctuation with the lines before it.",
)


def read_tree(text: str, findings: Findings) -> Fields | None:
    """The fields of a YAML file, or None with the problem noted."""
    builder = _Builder(findings)
    try:
        for event in _events(text):
            if not builder.take(event):
                return None
    except yaml.MarkedYAMLError as error:
        _note(error, findings)
        return None
    except yaml.YAMLError:
        findings.add(Place(), *_OTHERWISE, line=1)
        return None
    if not isinstance(builder.root, Fields):
        findings.add(
            Place(),
            "The file does not begin with a field.",
            "Begin with a line such as schema: ladlework/foods/1.",
        )
        return None
    return builder.root


def _events(text: str) -> Iterator[yaml.Event]:
    return yaml.parse(text, Loader=_LOADER)


def _note(error: yaml.MarkedYAMLError, findings: Findings) -> None:
    context = error.context or ""
    # What is never closed is best shown where it was opened.
    opened = error.context_mark if context.startswith(_OPENED) else None
    mark = opened or error.problem_mark or error.context_mark
    said = f"{context} {error.problem or ''}"
    message, fix = next(((message, fix) for part, message, fix in _EXPLAINED if part in said), _OTHERWISE)
    findings.add(Place(), message, fix, line=mark.line + 1 if mark else 1)


class _Builder:
    """Builds the tree from events, with its own stack."""

    def __init__(self, findings: Findings) -> None:
        self.root: Node | None = None
        self._findings = findings
        self._open: list[tuple[Callable[[int, list[Node]], Node], int, list[Node]]] = []
        self._documents = 0

    def take(self, event: yaml.Event) -> bool:
        """Add one event. False when the rest is not worth reading."""
        line = event.start_mark.line + 1
        self._refuse_cleverness(event, line)
        if isinstance(event, yaml.DocumentStartEvent):
            return self._begin_document(line)
        if isinstance(event, yaml.ScalarEvent):
            is_null = event.style is None and event.value in ("~", "null")
            self._put(Text(line, "" if is_null else event.value))
        elif isinstance(event, yaml.AliasEvent):
            self._put(Text(line, ""))
        elif isinstance(event, yaml.CollectionStartEvent):
            return self._begin(event, line)
        elif isinstance(event, yaml.CollectionEndEvent):
            close, began, parts = self._open.pop()
            self._put(close(began, parts))
        return True

    def _begin_document(self, line: int) -> bool:
        self._documents += 1
        if self._documents > 1:
            self._findings.add(
                Place(), "A second document begins here.", "Keep one document a file.", line=line
            )
        return self._documents == 1

    def _begin(self, event: yaml.CollectionStartEvent, line: int) -> bool:
        if len(self._open) >= DEEPEST:
            self._findings.add(Place(), "Lists are nested too deeply here.", "Take brackets away.", line=line)
            return False
        close = self._mapping if isinstance(event, yaml.MappingStartEvent) else _sequence
        self._open.append((close, line, []))
        return True

    def _put(self, node: Node) -> None:
        if self._open:
            self._open[-1][2].append(node)
        else:
            self.root = node

    def _mapping(self, line: int, parts: list[Node]) -> Fields:
        pairs = []
        seen: set[str] = set()
        for name, value in zip(parts[::2], parts[1::2], strict=True):
            if not isinstance(name, Text):
                self._findings.add(
                    Place(), "A field name must be a word.", "Take the brackets away.", line=name.line
                )
            elif name.text in seen:
                self._findings.add(
                    Place((name.text[:80],)),
                    "This field is here twice.",
                    "Delete one of the two.",
                    line=name.line,
                )
            else:
                seen.add(name.text)
                pairs.append((name, value))
        return Fields(line, tuple(pairs))

    def _refuse_cleverness(self, event: yaml.Event, line: int) -> None:
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            self._findings.add(
                Place(),
                "Anchors (&) and aliases (*) are not read.",
                "Write the value out, or put the text in double quotes.",
                line=line,
            )
        elif getattr(event, "tag", None):
            self._findings.add(
                Place(),
                "Tags (!) are not read.",
                "Delete the tag, or put the text in double quotes.",
                line=line,
            )


def _sequence(line: int, parts: list[Node]) -> Items:
    return Items(line, tuple(parts))
