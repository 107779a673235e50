"""What changed between versions of a protocol, and what one leaves open, as a coach reads it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coaching.domain.units import System
from plans.domain.book import Food, Modifier, Protocol, Rule
from plans.domain.differences import Difference, Kind, Way
from plans.domain.gaps import Gap, Part
from plans.domain.table import Target
from plans.printables.words import amount_words, days_words, forms_words
from plans.wording import ALLOWANCE, CONDITION, SLOT

Said = tuple[str, str, str]
"""What changed, whether that is stricter or wider, and what it is about; in words."""
WAY = {Way.STRICTER: gettext_lazy("stricter"), Way.WIDER: gettext_lazy("wider")}
_PARTS = {
    "title": gettext_lazy("title"),
    "food": gettext_lazy("food"),
    "form": gettext_lazy("form"),
    "stage": gettext_lazy("stage"),
    "doses": gettext_lazy("doses"),
    "dose_days": gettext_lazy("days with doses"),
    "washout_days": gettext_lazy("days without"),
    "note": gettext_lazy("note"),
    "kind": gettext_lazy("kind"),
    "days_before": gettext_lazy("days before day one"),
    "at_least_days": gettext_lazy("fewest days before day one"),
    "keeps_days": gettext_lazy("days it keeps"),
    "hands_on_min": gettext_lazy("minutes of work"),
    "after": gettext_lazy("what comes before it"),
    "wait_least_h": gettext_lazy("shortest wait"),
    "wait_most_h": gettext_lazy("longest wait"),
    "freezer_days": gettext_lazy("days it keeps frozen"),
    "needs": gettext_lazy("what it needs"),
    "makes": gettext_lazy("what it makes"),
    "buy_instead": gettext_lazy("what to buy instead"),
    "source": gettext_lazy("source"),
}
_CHANGED = {
    "title-changed": gettext_lazy("the title was “%(was)s” and is “%(now)s”"),
    "summary-changed": gettext_lazy("the summary was “%(was)s” and is “%(now)s”"),
    "source-changed": gettext_lazy("the source was “%(was)s” and is “%(now)s”"),
    "caution-changed": gettext_lazy("the caution was “%(was)s” and is “%(now)s”"),
    "stage-added": gettext_lazy("a new stage"),
    "stage-removed": gettext_lazy("the stage is gone"),
    "stage-moved": gettext_lazy("the stage was number %(was)s and is number %(now)s"),
    "stage-renamed": gettext_lazy("the stage was called “%(was)s” and is called “%(now)s”"),
    "aim-changed": gettext_lazy("the aim was “%(was)s” and is “%(now)s”"),
    "days-changed": gettext_lazy("the days were: %(was)s; they are: %(now)s"),
    "opens-newly": gettext_lazy("opens here, and did not open before: %(how)s"),
    "opens-earlier": gettext_lazy("opens here, earlier than before (%(stage)s): %(how)s"),
    "opens-later": gettext_lazy("opens here, later than before (%(stage)s): %(how)s"),
    "never-opens": gettext_lazy("opened here before, and does not open any more"),
    "own-rows-added": gettext_lazy("has rows of its own now, and goes by its group no longer"),
    "own-rows-removed": gettext_lazy("has no rows of its own any more, and goes by its group"),
    "row-added": gettext_lazy("has a new row here that says what held already"),
    "row-removed": gettext_lazy("has a row less here; what it said holds as before"),
    "allowance-changed": gettext_lazy("was “%(was)s” and is “%(now)s”"),
    "amounts-changed": gettext_lazy("first tastes were: %(was)s; they are: %(now)s"),
    "note-changed": gettext_lazy("the note was “%(was)s” and is “%(now)s”"),
    "modifier-added": gettext_lazy("newly asked while “%(when)s” holds: %(now)s"),
    "modifier-removed": gettext_lazy("no longer asked while “%(when)s” holds: %(was)s"),
    "modifier-changed": gettext_lazy("while “%(when)s” holds it was: %(was)s; it is: %(now)s"),
    "challenge-added": gettext_lazy("a new planned introduction"),
    "challenge-removed": gettext_lazy("the planned introduction is gone"),
    "challenge-changed": gettext_lazy("the planned introduction changed: %(fields)s"),
    "challenges-reordered": gettext_lazy("planned introductions now come in this order: %(titles)s"),
    "lead-in-added": gettext_lazy("a new task before day one"),
    "lead-in-removed": gettext_lazy("the task before day one is gone"),
    "lead-in-changed": gettext_lazy("the task before day one changed: %(fields)s"),
}
GAP_TITLE = {
    "days-out-of-order": gettext_lazy("Days out of order"),
    "no-food": gettext_lazy("Rows without a food in the book"),
    "twice": gettext_lazy("Two rows at one stage"),
    "closes-again": gettext_lazy("Rows that close what was open"),
    "challenge-without-food": gettext_lazy("Planned introductions without a food in the book"),
    "no-dish": gettext_lazy("Meals without a dish"),
    "never-open": gettext_lazy("Foods that never open"),
    "modifier-never-open": gettext_lazy("Modifiers for foods that never open"),
    "form-without-recipe": gettext_lazy("Forms that no recipe cooks"),
}
"""The kinds of gaps in the order a coach should see them: mistakes first."""
_GAP = {
    "days-out-of-order": gettext_lazy(
        "%(stage)s: least %(least)s, usual %(usual)s, most %(most)s. Put them in order."
    ),
    "no-food": gettext_lazy(
        "%(target)s at %(stage)s: the book has no such food. Add it, or take the row out."
    ),
    "twice": gettext_lazy("%(target)s at %(stage)s: two rows are for this stage. Keep one."),
    "closes-again": gettext_lazy(
        "%(target)s at %(stage)s: “%(now)s” after “%(was)s” at %(earlier)s. Stages only open; for a while of more "
        "care use a modifier."
    ),
    "challenge-without-food": gettext_lazy("%(title)s: the book has no food “%(target)s”. Add it."),
    "no-dish": gettext_lazy("%(stage)s, %(slot)s: no recipe of the book is open. Add one for this meal."),
    "never-open": gettext_lazy("%(target)s: not yet at every stage."),
    "modifier-never-open": gettext_lazy("%(when)s, %(target)s: no stage opens this food."),
    "form-without-recipe": gettext_lazy("%(target)s at %(stage)s: %(forms)s."),
}


@dataclass(frozen=True, slots=True)
class Names:
    """What to call foods and stages by: the book, and the two versions compared."""

    foods: Mapping[str, Food]
    old: Protocol
    new: Protocol
    system: System

    def food(self, key: str) -> str:
        """The food's name, or its key when the book has none."""
        return self.foods[key].name if key in self.foods else key

    def stage(self, key: str) -> str:
        """The stage's title, the newer one first."""
        stages = (*self.new.stages, *self.old.stages)
        return next((stage.title for stage in stages if stage.key == key), key)


def about_words(difference: Difference, names: Names) -> str:
    """What a difference is about; nothing for the protocol and for a stage, whose heading says it."""
    kind, target = difference.kind, difference.target
    if kind in (Kind.PROTOCOL, Kind.STAGE) or difference.code == "challenges-reordered":
        return ""
    if kind in (Kind.CHALLENGE, Kind.LEAD_IN):
        return str(difference.facts["title"])
    if kind is Kind.FOOD:
        return names.food(target)
    if kind is Kind.GROUP:
        return _("all %(name)s") % {"name": target}
    return _modifier_target(difference.facts.get("now") or difference.facts["was"], names)


def change_words(difference: Difference, names: Names) -> str:
    """What changed, as a clause without its full stop. Raises KeyError for a code that has no wording."""
    code, facts = difference.code, difference.facts
    if code == "dietitian-changed":
        return _("a dietitian is needed now") if facts["now"] else _("a dietitian is no longer needed")
    if code == "moving-on-changed":
        return _lists(facts, _("conditions for moving on"), lambda line: _("“%(line)s”") % {"line": line})
    if code == "forms-changed":
        said = _lists(facts, _("forms"), lambda form: forms_words((form,)))
        return _("%(said)s; now in any form") % {"said": said} if facts["any"] else said
    return str(_CHANGED[code] % _said(difference, names))


def said_row(difference: Difference, names: Names) -> Said:
    """A difference as a row for ``said_once``."""
    way = str(WAY.get(difference.way, ""))
    return change_words(difference, names), way, about_words(difference, names)


def said_once(rows: Iterable[Said]) -> list[dict[str, str]]:
    """Changes that read the same are said once, about all they concern."""
    alike: dict[tuple[str, str], list[str]] = {}
    for said, way, about in rows:
        alike.setdefault((said, way), []).append(about)
    return [
        {"about": capfirst("; ".join(filter(None, about))), "said": capfirst(said), "way": way}
        for (said, way), about in alike.items()
    ]


def _said(difference: Difference, names: Names) -> dict[str, Any]:
    facts = dict(difference.facts)
    if difference.code.startswith("opens-"):
        how = [str(ALLOWANCE[facts["allowance"]]).lower(), forms_words(facts["forms"])]
        return {"stage": names.stage(facts.get("was", "")), "how": ", ".join(part for part in how if part)}
    if difference.code == "allowance-changed":
        return {side: ALLOWANCE[facts[side]] for side in ("was", "now")}
    if difference.code == "amounts-changed":
        return {side: taste_words(facts[side], names.system) or _("none") for side in ("was", "now")}
    if difference.code == "days-changed":
        return {side: _stage_days(*facts[side]) for side in ("was", "now")}
    if difference.kind is Kind.MODIFIER:
        sides = {side: _modifier_words(facts[side]) for side in ("was", "now") if side in facts}
        return sides | {"when": CONDITION[(facts.get("now") or facts["was"]).when]}
    if "fields" in facts:
        return {"fields": ", ".join(str(_PARTS[name]) for name in facts["fields"])}
    if "titles" in facts:
        return {"titles": ", ".join(facts["titles"])}
    return {name: _("none") if fact == "" else fact for name, fact in facts.items()}


def _lists(facts: Mapping[str, Any], what: str, say: Any) -> str:
    parts = []
    if facts["added"]:
        parts.append(
            _("%(what)s added: %(items)s") % {"what": what, "items": "; ".join(map(say, facts["added"]))}
        )
    if facts["removed"]:
        items = "; ".join(map(say, facts["removed"]))
        parts.append(_("%(what)s removed: %(items)s") % {"what": what, "items": items})
    return "; ".join(parts) or _("%(what)s: in another order") % {"what": what}


def _stage_days(least: int, usual: int, most: int | None) -> str:
    if most is None:
        return _("at least %(least)d, usually %(usual)d") % {"least": least, "usual": usual}
    facts = {"least": least, "usual": usual, "most": most}
    return _("at least %(least)d, usually %(usual)d, at most %(most)d") % facts


def _modifier_target(modifier: Modifier, names: Names) -> str:
    if modifier.all:
        return _("Everything")
    return names.food(modifier.food) if modifier.food else _("all %(name)s") % {"name": modifier.group}


def _modifier_words(modifier: Modifier) -> str:
    allowance = "" if modifier.allowance is None else str(ALLOWANCE[modifier.allowance]).lower()
    require = forms_words((modifier.require,)) if modifier.require else ""
    return "; ".join(part for part in (allowance, require, modifier.note) if part)


def taste_words(rule: Rule, system: System) -> str:
    """The amounts of a first taste: ``From 5 g, 5 g more every 2 days, up to 30 g``."""
    parts = []
    if rule.start:
        parts.append(_("from %(amount)s") % {"amount": amount_words(*rule.start, None, system)})
    if rule.step and rule.every_days:
        facts = {"amount": amount_words(*rule.step, None, system), "days": days_words(rule.every_days)}
        parts.append(_("%(amount)s more every %(days)s") % facts)
    if rule.most:
        parts.append(_("up to %(amount)s") % {"amount": amount_words(*rule.most, None, system)})
    return ", ".join(parts)


def say_gaps(found: Iterable[Gap], protocol: Protocol, foods: Mapping[str, Food]) -> list[dict[str, Any]]:
    """Gaps by their kind, mistakes first; each kind with its title and its ``gap_line``s."""
    by_code: dict[str, list[Gap]] = {}
    for gap in found:
        by_code.setdefault(gap.code, []).append(gap)
    return [
        {
            "title": title,
            "is_mistake": by_code[code][0].is_mistake,
            "lines": [gap_line(gap, protocol, foods) for gap in by_code[code]],
        }
        for code, title in GAP_TITLE.items()
        if code in by_code
    ]


def gap_line(gap: Gap, protocol: Protocol, foods: Mapping[str, Food]) -> dict[str, str]:
    """A gap with its sentence and the cell of the rules table it is in; none for one that is in no row."""
    in_table = gap.part is Part.RULE
    cell = f"{Target.of(protocol.rules[gap.index])}@{gap.stage}" if in_table else ""
    return {"said": say_gap(gap, protocol, foods), "cell": cell}


def say_gap(gap: Gap, protocol: Protocol, foods: Mapping[str, Food]) -> str:
    """One gap as a sentence that names its row by target and stage. Raises KeyError for a code that has no wording."""
    facts: dict[str, Any] = {
        **gap.facts,
        "stage": protocol.stage(gap.stage).title if gap.stage else "",
        "target": foods[gap.target].name if gap.target in foods else gap.target,
    }
    if "earlier" in facts:
        facts["earlier"] = protocol.stage(protocol.rules[facts["earlier"]].stage).title
    for side in {"was", "now"} & facts.keys():
        facts[side] = ALLOWANCE[facts[side]]
    if "slot" in facts:
        facts["slot"] = str(SLOT[facts["slot"]]).lower()
    if "forms" in facts:
        facts["forms"] = forms_words(facts["forms"])
    if "when" in facts:
        facts["when"] = CONDITION[facts["when"]]
    if gap.code == "days-out-of-order" and facts["most"] is None:
        facts["most"] = _("none")
    return str(_GAP[gap.code] % facts)
