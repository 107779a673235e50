"""The day in the kitchen as the client sees it."""

from datetime import date

from clients.models import Client
from clients.selectors.cautions import packet_blocks
from clients.services.days import day_page
from clients.wording.blocks import client_block_words


def portal_today_page(client: Client, *, on: date, today: date) -> dict[str, object]:
    """The client's page, in a fixed number of queries.

    While a caution or something else blocks weeks and packets there is nothing to cook by, only what is in the way.
    """
    household = client.household
    number = household.practice.emergency_number
    blocks = tuple(dict.fromkeys(client_block_words(block, number) for block in packet_blocks(household)))
    context = {"household": household, "practice": household.practice, "today": today, "blocks": blocks}
    return context if blocks else context | {"page": day_page(household, on=on, today=today)}
