"""How allowances combine, the stricter of two, and what an allowance permits.

An allowance permits a food in a form, eaten or cooked in and taken out, in an amount. The stricter of two lets eat what
both let eat and flavours no more than both, so no step that only uses ``tightened`` can ever open a food.
"""

from dataclasses import replace
from decimal import Decimal

from plans.domain.book import Form
from plans.domain.brief import FoodAllowance, Reason
from plans.domain.vocabulary import Allowance, Use

NOTHING = FoodAllowance(Allowance.NOT_YET)

_FORMS_BIND_FLAVOURS = (Allowance.FLAVOUR_ONLY, Allowance.FIRST_TASTES)


def meets(form: Form, forms: tuple[Form, ...]) -> bool:
    """Whether a preparation takes at least the care one of ``forms`` asks for. No forms ask for nothing."""
    return not forms or any(asked <= form for asked in forms)


def permits(given: FoodAllowance, form: Form, use: Use = Use.BASE, amount_g: Decimal = Decimal(0)) -> bool:
    """Whether a dish may use a food so. ``amount_g`` is what one eater gets of it. A first taste that no introduction
    has begun is for an introduction, not for a dish: one unknown at a time.

    What may be eaten *as prepared* or *freely* may also flavour a pot in any form, since it is taken out again. For
    *flavour only* and *first tastes* the named forms bind flavours too, and ``flavour_forms`` bind every flavour.
    """
    if given.allowance is Allowance.NOT_YET or given.untried:
        return False
    if use is Use.FLAVOUR:
        bound = given.allowance in _FORMS_BIND_FLAVOURS
        return meets(form, given.flavour_forms) and (not bound or meets(form, given.forms))
    if given.allowance is Allowance.FLAVOUR_ONLY or not meets(form, given.forms):
        return False
    return given.most_g is None or amount_g <= given.most_g


def tightened(given: FoodAllowance, by: FoodAllowance) -> FoodAllowance:
    """The stricter of two, with the reasons of ``by`` first where it changed anything."""
    result = _both(given, by)
    changed = _substance(result) != _substance(given)
    return replace(result, reasons=by.reasons + given.reasons if changed else given.reasons)


def barred(given: FoodAllowance, *reasons: Reason) -> FoodAllowance:
    """*Not yet*, whatever was given."""
    return FoodAllowance(Allowance.NOT_YET, reasons=reasons + given.reasons)


def noted(given: FoodAllowance, *reasons: Reason) -> FoodAllowance:
    """The same allowance with something more to say about it."""
    return replace(given, reasons=given.reasons + reasons)


def _substance(given: FoodAllowance) -> tuple[object, ...]:
    forms, flavour_forms = frozenset(given.forms), frozenset(given.flavour_forms)
    return given.allowance, forms, given.most_g, given.untried, flavour_forms


def _both(one: FoodAllowance, other: FoodAllowance) -> FoodAllowance:
    allowance = min(one.allowance, other.allowance)
    if allowance is Allowance.NOT_YET:
        return NOTHING
    untried, flavours = one.untried or other.untried, _all_forms([one.flavour_forms, other.flavour_forms])
    if allowance is Allowance.FLAVOUR_ONLY:
        binding = [given.forms for given in (one, other) if given.allowance in _FORMS_BIND_FLAVOURS]
        return FoodAllowance(allowance, _all_forms(binding), untried=untried, flavour_forms=flavours)
    forms = _all_forms([one.forms, other.forms])
    if allowance is Allowance.FREELY and forms:
        allowance = Allowance.AS_PREPARED
    caps = [given.most_g for given in (one, other) if given.most_g is not None]
    return FoodAllowance(allowance, forms, min(caps, default=None), untried=untried, flavour_forms=flavours)


def _all_forms(choices: list[tuple[Form, ...]]) -> tuple[Form, ...]:
    """The least preparations that meet every choice: each union of one form a choice, without needless ones."""
    unions: set[Form] = {frozenset()}
    for forms in choices:
        if forms:
            unions = {union | form for union in unions for form in forms}
    least = [union for union in unions if not any(other < union for other in unions)]
    return tuple(sorted((form for form in least if form), key=sorted))
