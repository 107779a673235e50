"""Ticking the shopping list off. A tick belongs to a household, a week's start and a food, and to no planned week."""

import re
from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from django.db import transaction
from django.utils.translation import gettext as _

from clients.models import Household, ShoppingTick
from clients.services.weeks import block_problems
from coaching.domain.errors import Problem, Refused
from coaching.practice.models import Membership

MOST_G = Decimal(100_000)
KEY = re.compile(r"(?=.{1,80}\Z)[a-z0-9]+(?:-[a-z0-9]+)*")


def food_typed(typed: str) -> str:
    """A food's key as a tick's form carries it. Raises Refused for anything that is no key."""
    if not KEY.fullmatch(typed):
        raise Refused(Problem(0, "food", _("That tick came without its food."), _("Tick it again.")))
    return typed


def grams_typed(typed: str) -> Decimal:
    """Grams as a tick's form carries them. Raises Refused for anything that is no amount."""
    try:
        amount_g = Decimal(typed)
    except InvalidOperation:
        amount_g = Decimal(0)
    if not amount_g.is_finite() or not 0 < amount_g <= MOST_G:
        raise Refused(Problem(0, "amount", _("That tick came without its amount."), _("Tick it again.")))
    return amount_g.quantize(Decimal("0.01"))


@transaction.atomic
def shopping_tick(
    *, household: Household, start: date, food: str, amount_g: Decimal, by: Membership, at: datetime
) -> ShoppingTick:
    """Put a food into the basket, ``amount_g`` of it in all. Of two who tick at once the larger amount stands.

    Raises Refused while something stands in the way of the household's weeks.
    """
    problems = block_problems(household)
    if problems:
        raise Refused(*problems)
    rows = ShoppingTick.objects.select_for_update()
    tick, is_new = rows.get_or_create(
        household=household,
        start=start,
        food=food,
        defaults={"amount_g": amount_g, "ticked_at": at, "ticked_by": by.user},
    )
    if not is_new and amount_g > tick.amount_g:
        tick.before_g, tick.amount_g = tick.amount_g, amount_g
        tick.ticked_at, tick.ticked_by = at, by.user
        tick.save(update_fields=["before_g", "amount_g", "ticked_at", "ticked_by"])
    return tick


@transaction.atomic
def shopping_untick(*, household: Household, start: date, food: str, amount_g: Decimal) -> None:
    """Take the last tick of a food back: what was ticked before it stands again.

    Only the tick of this very amount: when somebody else has undone it or ticked more meanwhile, nothing changes.
    """
    rows = ShoppingTick.objects.select_for_update()
    tick = rows.filter(household=household, start=start, food=food, amount_g=amount_g).first()
    if tick is None:
        return
    if not tick.before_g:
        tick.delete()
        return
    tick.amount_g, tick.before_g = tick.before_g, Decimal(0)
    tick.save(update_fields=["amount_g", "before_g"])
