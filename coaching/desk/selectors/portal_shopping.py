"""The shopping list as the client sees it."""

from datetime import date

from clients.models import Client, Week
from clients.selectors.cautions import packet_blocks
from clients.selectors.shopping import choices, shopping_page, week_to_shop, weeks_to_shop
from clients.wording.blocks import client_block_words


def portal_shopping_page(client: Client, *, week: Week | None, today: date) -> dict[str, object]:
    """The list of a week, or of the one to shop for today, in a fixed number of queries.

    While a caution or something else blocks weeks and packets there is no list, only what is in the way.
    """
    household = client.household
    number = household.practice.emergency_number
    blocks = tuple(dict.fromkeys(client_block_words(block, number) for block in packet_blocks(household)))
    context = {"household": household, "today": today, "blocks": blocks}
    if blocks:
        return context
    weeks = weeks_to_shop(household, today)
    week = week or week_to_shop(weeks, today)
    others = [] if week is None else [one for one in weeks if one.start != week.start]
    return context | {
        "page": None if week is None else shopping_page(household, week.start, today=today),
        "other_weeks": choices(others),
    }
