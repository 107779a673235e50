"""What a move to another version would change for each eater: gathered for the pages that offer it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.models import Enrolment
from clients.selectors.following import open_spell
from clients.services.briefs import eater_rules
from plans.domain.allowance import EaterRules
from plans.domain.book import Food, Protocol, Stage
from plans.domain.moving import Comparison, Edition, Moving, places
from plans.models import ProtocolVersion
from plans.selectors import protocol_of


@dataclass(frozen=True, slots=True)
class Offer:
    """One eater's move: ``moving`` is what it changes in ``stage``, None where there is no place for the eater.

    ``choices`` are the stages to choose from when the version lacks the eater's own; else there is nothing to choose.
    """

    old: Protocol
    new: Protocol
    on: date
    stage: str = ""
    moving: Moving | None = None
    choices: tuple[Stage, ...] = ()


def offers(
    enrolments: Iterable[Enrolment],
    target: ProtocolVersion,
    *,
    foods: Mapping[str, Food],
    stages: Mapping[UUID, str] | None = None,
    today: date,
) -> dict[UUID, Offer]:
    """The offer for each open enrolment that is not on ``target``, by its id; each version is compiled once.

    Spells and versions are at hand. ``stages`` are those chosen so far, by enrolment; a stage that is not offered
    counts as none. Two queries.
    """
    behind = [one for one in enrolments if one.version_id != target.pk]
    if not behind:
        return {}
    eaters = [one.eater for one in behind]
    rules = eater_rules(eaters, {one.eater_id: one for one in behind}, today=today)
    comparisons = _comparisons(behind, target, foods)
    return {
        one.pk: _offer(
            one, comparisons[one.version_id], rules[one.eater_id], (stages or {}).get(one.pk), today
        )
        for one in behind
    }


def _comparisons(
    enrolments: Iterable[Enrolment], target: ProtocolVersion, foods: Mapping[str, Food]
) -> dict[UUID, Comparison]:
    new = Edition.of(protocol_of(target), foods.values())
    versions = {one.version_id: one.version for one in enrolments}
    return {
        pk: Comparison.of(Edition.of(protocol_of(version), foods.values()), new)
        for pk, version in versions.items()
    }


def _offer(one: Enrolment, compared: Comparison, rules: EaterRules, chosen: str | None, today: date) -> Offer:
    spell = open_spell(one)
    old, new = compared.old.protocol, compared.new.protocol
    on = max(today, spell.began_on)
    offered = places(old, new, spell.stage)
    if not offered:
        return Offer(old, new, on)
    keys = [stage.key for stage in offered]
    stage = chosen if chosen in keys else keys[0]
    return Offer(
        old=old,
        new=new,
        on=on,
        stage=stage,
        moving=compared.for_eater(rules, stage, today),
        choices=() if keys == [spell.stage] else offered,
    )
