"""Recipes as JSON-LD, schema.org/Recipe: written so that reading gives the same, and read from other kitchens.

What schema.org has no name for stands in ``additionalProperty`` as ``PropertyValue`` entries whose ``propertyID`` is
our file schema. A recipe without them comes from elsewhere: it is read as far as it goes, for a coach to complete.
"""

import html
import json
import re
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from coaching.domain.errors import Problem
from plans.domain.book import Food, Ingredient, Recipe
from plans.domain.filing.csv_reader import split_mapping
from plans.domain.filing.findings import Findings
from plans.domain.filing.lookup import FoodLookup, folded
from plans.domain.filing.opening import FILE, is_small_enough
from plans.domain.filing.recipes import INGREDIENT, MOST_MINUTES, SCHEMA
from plans.domain.filing.tree import Text
from plans.domain.filing.writing import cell_of
from plans.domain.ingredient_lines import MOST_LINE, IngredientLine, read_ingredient
from plans.domain.records import number_text, recipe_record

MOST_PARTS = 200
DEEPEST = 20
_OWN_FIELDS = (
    "key",
    "kind",
    "slots",
    "main",
    "servings",
    "portion",
    "ingredients",
    "fridge_days",
    "freezer_days",
    "batch",
    "core_temp_f",
    "makes",
    "child_note",
)
_DURATION = re.compile(
    r"P(?:(\d{1,4})W)?(?:(\d{1,4})D)?(?:T(?:(\d{1,5})H)?(?:(\d{1,6})M)?(?:(\d{1,7})(?:\.\d+)?S)?)?",
    re.IGNORECASE,
)
_SCRIPT = re.compile(r"<script\b([^<>]{0,300})>", re.IGNORECASE)
_SCRIPT_END = re.compile(r"</script", re.IGNORECASE)
_MINUTES = (10_080, 1_440, 60, 1)


@dataclass(frozen=True, slots=True)
class Draft:
    """A recipe as far as it could be read: text for the fields of a form, named as in a file.

    ``unread`` are pieces of the original that found no place.
    """

    values: Mapping[str, str | tuple[str, ...]] = field(default_factory=dict)
    ingredients: tuple[IngredientLine, ...] = ()
    unread: tuple[str, ...] = ()


def recipe_jsonld(recipe: Recipe, foods: Mapping[str, Food]) -> dict[str, Any]:
    """A recipe as a JSON-LD object."""
    held = recipe_record(recipe)
    return {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": recipe.title,
        "recipeCategory": recipe.kind,
        "recipeYield": f"{number_text(recipe.servings)} servings",
        "prepTime": duration(recipe.hands_on_min),
        "totalTime": duration(recipe.elapsed_min),
        "recipeIngredient": [_ingredient_words(part, foods) for part in recipe.ingredients],
        "recipeInstructions": [
            {"@type": "HowToStep", "position": place, "text": step}
            for place, step in enumerate(recipe.steps, start=1)
        ],
        "additionalProperty": [
            {"@type": "PropertyValue", "propertyID": SCHEMA, "name": name, "value": cell_of(value)}
            for name in _OWN_FIELDS
            if name in held
            for value in (held[name] if isinstance(held[name], list) else [held[name]])
        ],
    }


def draft_of(recipe: Recipe) -> Draft:
    """A recipe of the book as text for a form."""
    held = recipe_record(recipe)
    parts = tuple(
        _line_of({name: cell_of(value) for name, value in row.items()}) for row in held.pop("ingredients")
    )
    return Draft({name: _typed(value) for name, value in held.items()}, parts)


def read_jsonld(text: str, foods: Iterable[Food]) -> tuple[Draft | None, tuple[Problem, ...]]:
    """The first recipe in a JSON-LD text, or in a web page that carries one; no draft with a problem."""
    findings = Findings()
    found = _recipe_object(text, findings)
    if found is None:
        return None, findings.problems()
    own = _own_values(found)
    return (_own_draft(found, own) if own else _foreign_draft(found, FoodLookup(foods))), ()


def duration(minutes: int) -> str:
    """Minutes as an ISO 8601 duration: ``PT1H30M``."""
    hours, rest = divmod(minutes, 60)
    return f"PT{hours}H{rest}M" if hours and rest else f"PT{hours}H" if hours else f"PT{rest}M"


def minutes_of(typed: str) -> int | None:
    """Whole minutes of an ISO 8601 duration, part minutes upwards; None for anything else, years and months too."""
    found = _DURATION.fullmatch(typed.strip())
    if not found or not any(found.groups()):
        return None
    *whole, seconds = (int(part or 0) for part in found.groups())
    minutes = sum(count * size for count, size in zip(whole, _MINUTES, strict=True)) + -(-seconds // 60)
    return minutes if minutes <= MOST_MINUTES else None


def _ingredient_words(part: Ingredient, foods: Mapping[str, Food]) -> str:
    name = foods[part.food].name if part.food in foods else part.food
    details = ", ".join(filter(None, (" ".join(sorted(part.form)), part.size)))
    return f"{number_text(part.quantity)} {part.unit} {name}" + (f" ({details})" if details else "")


def _recipe_object(text: str, findings: Findings) -> Mapping[str, Any] | None:
    if not is_small_enough(len(text.encode("utf-8", "replace")), findings):
        return None
    bare = text.removeprefix("\ufeff").strip()
    if not bare:
        findings.add(FILE, "There is nothing here.", "Paste a recipe, or choose a file.")
        return None
    scripts = _scripts(bare) if bare.startswith("<") else [bare]
    first_error: json.JSONDecodeError | None = None
    for script in scripts:
        try:
            found = next(_recipes_in(json.loads(script)), None)
        except json.JSONDecodeError as error:
            first_error = first_error or error
        except (ValueError, RecursionError):
            findings.add(
                FILE, "The text is nested too deeply, or holds a number that is too long.", "Choose another."
            )
            return None
        else:
            if found is not None:
                return found
    if first_error is not None:
        message = "This is not JSON: it cannot be read from here on."
        findings.add(
            FILE,
            message,
            "Copy the whole text again, from the first { to the last }.",
            line=first_error.lineno,
        )
    else:
        findings.add(FILE, "There is no recipe in it.", "Look for JSON-LD with “@type”: “Recipe”.")
    return None


def _scripts(page: str) -> list[str]:
    """The JSON-LD scripts of a web page, found in one pass; a script that is never closed ends the search."""
    found = []
    place = 0
    while opened := _SCRIPT.search(page, place):
        closed = _SCRIPT_END.search(page, opened.end())
        if not closed:
            break
        if "ld+json" in opened[1].lower():
            found.append(page[opened.end() : closed.start()])
        place = closed.end()
    return found


def _recipes_in(root: Any) -> Iterator[Mapping[str, Any]]:
    """Every recipe object, outermost first."""
    waiting: deque[tuple[Any, int]] = deque([(root, 0)])
    while waiting:
        node, depth = waiting.popleft()
        if isinstance(node, Mapping):
            kinds = node.get("@type")
            names = kinds if isinstance(kinds, list) else [kinds]
            if any(isinstance(name, str) and re.split(r"[/:#]", name)[-1] == "Recipe" for name in names):
                yield node
            children: Iterable[Any] = node.values()
        else:
            children = node if isinstance(node, list) else ()
        if depth < DEEPEST:
            waiting.extend((child, depth + 1) for child in children if isinstance(child, Mapping | list))


def _own_values(found: Mapping[str, Any]) -> dict[str, list[str]]:
    """Our own facts by name, each with its values in order."""
    own: dict[str, list[str]] = {}
    listed = found.get("additionalProperty")
    for entry in listed if isinstance(listed, list) else []:
        if (
            isinstance(entry, Mapping)
            and entry.get("propertyID") == SCHEMA
            and entry.get("name") in _OWN_FIELDS
        ):
            own.setdefault(entry["name"], []).append(_text(entry.get("value")))
    return own


def _own_draft(found: Mapping[str, Any], own: dict[str, list[str]]) -> Draft:
    values: dict[str, str | tuple[str, ...]] = {name: held[0] for name, held in own.items()}
    values["slots"] = tuple(own.get("slots", ()))
    values["title"] = _text(found.get("name"))
    values["steps"] = tuple(_step_texts(found.get("recipeInstructions")))
    for name, source in (("hands_on_min", "prepTime"), ("elapsed_min", "totalTime")):
        minutes = minutes_of(_text(found.get(source)))
        values[name] = "" if minutes is None else str(minutes)
    parts = (split_mapping(Text(0, cell)) for cell in own.get("ingredients", ()))
    rows = ({name.text: held.text for name, held in part.pairs} for part in parts)
    values.pop("ingredients", None)
    return Draft({name: value for name, value in values.items() if value}, tuple(map(_line_of, rows)))


def _foreign_draft(found: Mapping[str, Any], lookup: FoodLookup) -> Draft:
    title = _plain(_text(found.get("name")))[:160]
    key = re.sub(r"[^a-z0-9]+", "-", folded(title)).strip("-")[:80].strip("-")
    steps = tuple(filter(None, map(_plain, _step_texts(found.get("recipeInstructions")))))[:MOST_PARTS]
    lines = tuple(
        filter(None, map(_plain, _texts(found.get("recipeIngredient") or found.get("ingredients"))))
    )
    hands_on, elapsed, unread = _times(found)
    servings = _servings(found.get("recipeYield"))
    if found.get("recipeYield") and not servings:
        unread.append(f"recipeYield: {_plain(_text(found['recipeYield']))[:MOST_LINE]}")
    values: dict[str, str | tuple[str, ...]] = {
        "title": title,
        "key": key,
        "main": key,
        "servings": servings,
        "hands_on_min": hands_on,
        "elapsed_min": elapsed,
        "steps": steps,
    }
    return Draft(
        {name: value for name, value in values.items() if value},
        tuple(read_ingredient(line, lookup) for line in lines[:MOST_PARTS]),
        (*unread, *lines[MOST_PARTS:]),
    )


def _times(found: Mapping[str, Any]) -> tuple[str, str, list[str]]:
    """Hands-on and elapsed minutes as text, and the times that could not be read."""
    read: dict[str, int | None] = {}
    unread = []
    for name in ("prepTime", "cookTime", "totalTime"):
        typed = _text(found.get(name))
        read[name] = minutes_of(typed)
        if typed and read[name] is None:
            unread.append(f"{name}: {_plain(typed)[:MOST_LINE]}")
    prepared, cooked, total = (read[name] for name in ("prepTime", "cookTime", "totalTime"))
    if total is None and prepared is not None and cooked is not None:
        total = prepared + cooked
    return "" if prepared is None else str(prepared), "" if total is None else str(total), unread


def _servings(said: Any) -> str:
    """The first number of a yield: “Serves 4–6” is 4."""
    for text in _texts(said):
        number = re.search(r"\d{1,3}(?:\.\d)?", text)
        if number and Decimal(number[0]):
            return number_text(Decimal(number[0]))
    return ""


def _step_texts(said: Any) -> list[str]:
    """The steps of instructions in any of their shapes, sections in their order."""
    steps = []
    waiting: deque[tuple[Any, int]] = deque([(said, 0)])
    while waiting and len(steps) < MOST_PARTS:
        node, depth = waiting.popleft()
        if isinstance(node, str):
            steps += [line for line in re.split(r"[\r\n]+|<br\s*/?>|</p>|</li>", node) if line.strip()]
        elif isinstance(node, Mapping) and "itemListElement" in node and depth < DEEPEST:
            waiting.appendleft((node["itemListElement"], depth + 1))
        elif isinstance(node, Mapping):
            steps += [text for text in (_text(node.get("text")) or _text(node.get("name")),) if text]
        elif isinstance(node, list) and depth < DEEPEST:
            waiting.extendleft((item, depth + 1) for item in reversed(node))
    return steps


def _texts(said: Any) -> list[str]:
    return [text for text in map(_text, said if isinstance(said, list) else [said]) if text]


def _text(said: Any) -> str:
    """A JSON value as text; a quantity gives its number, a list its first."""
    if isinstance(said, Mapping):
        said = said.get("@value", said.get("value"))
    if isinstance(said, list):
        said = said[0] if said else None
    if isinstance(said, bool) or not isinstance(said, str | int | float):
        return ""
    return " ".join(str(said).split()) if isinstance(said, str) else str(said)


def _plain(text: str) -> str:
    """Text without markup: tags out, entities as the signs they stand for, no signs that cannot be printed."""
    bare = html.unescape(re.sub(r"<[^<>]{0,500}>", " ", html.unescape(text)))
    return " ".join("".join(sign if sign.isprintable() else " " for sign in bare).split())


def _line_of(row: Mapping[str, str]) -> IngredientLine:
    return IngredientLine(line="", **{name: row.get(name, "") for name in INGREDIENT})


def _typed(value: Any) -> str | tuple[str, ...]:
    return tuple(value) if isinstance(value, list) else cell_of(value)
