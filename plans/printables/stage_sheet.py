"""The sheet for the refrigerator door: what one eater may eat in this stage, in the five allowances.

The sheet is meant to hang for the whole stage, so it leaves out what passes within days: conditions in force are told
as "on a bad day", and an open introduction is named by itself instead of closing the other first tastes.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coaching.domain.units import System
from plans.domain.allowance import EaterRules, Introduction, day_allowances
from plans.domain.book import Food, Form, Modifier, Protocol, Rule, Stage
from plans.domain.brief import FoodAllowance
from plans.domain.quantities import shown
from plans.domain.rulebook import RuleBook
from plans.domain.vocabulary import Allowance
from plans.printables.facts import (
    AllowanceBlock,
    FoodLine,
    GroupFoods,
    StageSheet,
    Standing,
    TasteLine,
    WhenLine,
)
from plans.printables.words import (
    amount_words,
    by_name,
    date_words,
    days_words,
    forms_words,
    listed,
    sentence_case,
    short_names,
    shown_words,
)
from plans.wording import ALLOWANCE

MEANING = {
    Allowance.FREELY: gettext_lazy("Any way you like, as much as you like."),
    Allowance.AS_PREPARED: gettext_lazy("Only the way it says. Boiled and steamed mean soft all through."),
    Allowance.FIRST_TASTES: gettext_lazy("One new food at a time: start small, step up, watch."),
    Allowance.FLAVOUR_ONLY: gettext_lazy("Cook it in, take it out."),
    Allowance.NOT_YET: gettext_lazy("These, and every food this sheet does not name."),
}
CONDITION = {
    "loose-stools": gettext_lazy("While stools are loose"),
    "constipation": gettext_lazy("While stools are hard"),
    "reflux": gettext_lazy("With heartburn"),
    "nausea": gettext_lazy("When feeling sick"),
    "flare": gettext_lazy("In a flare, any symptom 7 or more"),
}
FROM_FREE_TO_STRICT = sorted(Allowance, reverse=True)
WHOLE_GROUP = 5
"""From this many foods on, a group that is open as a whole is named without its foods."""


def stage_sheet(
    *,
    standing: Standing,
    protocol: Protocol,
    book: RuleBook,
    rules: EaterRules,
    on: date,
    left_out: tuple[str, ...],
    system: System,
) -> StageSheet:
    """The sheet of an eater for the stage on a day. ``left_out`` are worded: allergies, exclusions, instructions.

    Raises KeyError when the eater is in no stage on that day.
    """
    stage = protocol.stage(rules.stage_on(on))
    settled = [tried for tried in rules.introductions if tried.outcome != "open"]
    lasting = replace(rules, conditions=frozenset(), introductions=tuple(settled))
    allowances = day_allowances(book, lasting, on)
    return StageSheet(
        standing=standing,
        stages=tuple(one.title for one in protocol.stages),
        aim=stage.aim,
        spans=_spans(stage),
        allowances=tuple(
            block
            for block in (
                _block(allowance, allowances, book, stage, system) for allowance in FROM_FREE_TO_STRICT
            )
            if block.lines or block.tastes or block.groups
        ),
        left_out=left_out,
        introductions=tuple(
            _introduction(tried, book.foods)
            for tried in rules.introductions
            if tried.outcome == "open" and tried.watch_until >= on
        ),
        when=_when(protocol.modifiers, allowances, book.foods),
        moving_on=stage.moving_on,
    )


def _spans(stage: Stage) -> str:
    words = _("At least %(least)s, usually %(usual)s.") % {
        "least": days_words(stage.least_days),
        "usual": days_words(stage.usual_days),
    }
    if stage.most_days is None:
        return words
    return f"{words} " + _("After %(most)s you look at it together.") % {"most": days_words(stage.most_days)}


def _block(
    allowance: Allowance,
    allowances: Mapping[str, FoodAllowance],
    book: RuleBook,
    stage: Stage,
    system: System,
) -> AllowanceBlock:
    foods = [book.foods[key] for key, given in allowances.items() if given.allowance is allowance]
    block = AllowanceBlock(
        code=allowance.word.replace(" ", "-"), word=str(ALLOWANCE[allowance]), meaning=str(MEANING[allowance])
    )
    if allowance is Allowance.NOT_YET:
        return replace(block, groups=_closed_groups(foods, book.foods))
    if allowance is Allowance.FIRST_TASTES:
        rules = {key: row.rule for key, row in book.stages[stage.key].items()}
        return replace(block, tastes=_tastes(foods, rules, allowances, book.foods, system))
    return replace(block, lines=_lines(foods, allowances, book.foods))


def _lines(
    foods: Iterable[Food], allowances: Mapping[str, FoodAllowance], all_foods: Mapping[str, Food]
) -> tuple[FoodLine, ...]:
    """Foods that are prepared alike stand in one line, group by group; the line with the most foods comes first."""
    alike: dict[tuple[Form, ...], dict[str, list[Food]]] = defaultdict(lambda: defaultdict(list))
    for food in foods:
        alike[allowances[food.key].forms][food.group].append(food)
    sizes = Counter(food.group for food in all_foods.values())
    names = short_names(all_foods.values())
    lines = [
        FoodLine(
            how=sentence_case(forms_words(forms)),
            groups=tuple(_group(group, members[group], sizes, names) for group in sorted(members)),
        )
        for forms, members in sorted(
            alike.items(), key=lambda item: (-sum(map(len, item[1].values())), forms_words(item[0]))
        )
    ]
    return tuple(lines)


def _group(group: str, members: list[Food], sizes: Mapping[str, int], names: Mapping[str, str]) -> GroupFoods:
    if WHOLE_GROUP <= len(members) == sizes[group]:
        return GroupFoods(sentence_case(group), _("all of them"))
    return GroupFoods(sentence_case(group), ", ".join(names[food.key] for food in by_name(members)))


def _closed_groups(foods: Iterable[Food], all_foods: Mapping[str, Food]) -> tuple[str, ...]:
    """The groups of which nothing is open. Single foods are not listed: what a sheet does not name is not yet."""
    closed = Counter(food.group for food in foods)
    sizes = Counter(food.group for food in all_foods.values())
    return tuple(sentence_case(group) for group in sorted(closed) if closed[group] == sizes[group])


def _tastes(
    foods: Iterable[Food],
    rules: Mapping[str, Rule | None],
    allowances: Mapping[str, FoodAllowance],
    all_foods: Mapping[str, Food],
    system: System,
) -> tuple[TasteLine, ...]:
    """First tastes by name. Foods that begin, step up and end alike stand in one line; their amounts are weights."""
    alike: dict[tuple, list[Food]] = defaultdict(list)
    for food in by_name(foods):
        rule = rules[food.key]
        said = (rule.start, rule.step, rule.every_days, rule.most, rule.note) if rule else ()
        alike[allowances[food.key].forms, said].append(food)
    names = short_names(all_foods.values())
    return tuple(
        _taste(together, rules[together[0].key], forms, names, system)
        for (forms, _said), together in alike.items()
    )


def _taste(
    foods: list[Food], rule: Rule | None, forms: tuple[Form, ...], names: Mapping[str, str], system: System
) -> TasteLine:
    alone = foods[0] if len(foods) == 1 else None
    return TasteLine(
        food=alone.name if alone else sentence_case(listed([names[food.key] for food in foods])),
        how=forms_words(forms),
        amounts=_amounts(rule, alone, system) if rule else "",
        note=rule.note if rule else "",
    )


def _amounts(rule: Rule, food: Food | None, system: System) -> str:
    """``from 5 ml (1 tsp), 5 ml more every 2 days, up to 45 ml (3 tbsp)``, as far as the rule says."""
    parts = []
    if rule.start:
        parts.append(_("from %(amount)s") % {"amount": amount_words(*rule.start, food, system)})
    if rule.step and rule.every_days:
        parts.append(
            ngettext("%(amount)s more every day", "%(amount)s more every %(days)d days", rule.every_days)
            % {"amount": shown_words(shown(*rule.step, food, system)), "days": rule.every_days}
        )
    if rule.most:
        parts.append(_("up to %(amount)s") % {"amount": amount_words(*rule.most, food, system)})
    return f"{', '.join(parts)}." if parts else ""


def _introduction(tried: Introduction, foods: Mapping[str, Food]) -> str:
    words = {
        "food": foods[tried.food].name if tried.food in foods else tried.food,
        "form": forms_words((tried.form,)),
        "first": date_words(tried.first_day),
        "until": date_words(tried.watch_until),
    }
    if words["form"]:
        return (
            _("%(food)s, %(form)s: from %(first)s, watch until %(until)s. Nothing else new until then.")
            % words
        )
    return _("%(food)s: from %(first)s, watch until %(until)s. Nothing else new until then.") % words


def _when(
    modifiers: Iterable[Modifier], allowances: Mapping[str, FoodAllowance], foods: Mapping[str, Food]
) -> tuple[WhenLine, ...]:
    """What each condition changes among the foods that are open now."""
    is_open = {key for key, given in allowances.items() if given.allowance is not Allowance.NOT_YET}
    advice: dict[str, list[str]] = defaultdict(list)
    for modifier in modifiers:
        met = [food for food in foods.values() if food.key in is_open and _meets(modifier, food)]
        if met:
            advice[modifier.when].append(_modified(modifier, met))
    return tuple(
        WhenLine(str(CONDITION[when]), tuple(dict.fromkeys(advice[when])))
        for when in CONDITION
        if when in advice
    )


def _meets(modifier: Modifier, food: Food) -> bool:
    return (
        modifier.all or food.key == modifier.food or (bool(modifier.group) and food.group == modifier.group)
    )


def _modified(modifier: Modifier, met: list[Food]) -> str:
    if modifier.group:
        target = sentence_case(modifier.group)
    else:
        target = _("Everything") if modifier.all else sentence_case(listed([food.name for food in met]))
    if modifier.note:
        return f"{target}: {modifier.note}"
    how = forms_words((modifier.require,)) if modifier.require else ""
    limit = str(ALLOWANCE[modifier.allowance]).lower() if modifier.allowance is not None else ""
    return f"{target}: {', '.join(words for words in (how, limit) if words)}."
