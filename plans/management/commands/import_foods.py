"""``manage.py import_foods FILE``: add and replace foods of a practice."""

from typing import Any

from plans.management.filing import ImportCommand
from plans.services.foods import foods_import
from plans.views.wording import filed_words


class Command(ImportCommand):
    help = "Add the foods of a file to the book, and replace those with the same keys."

    @staticmethod
    def file(**kwargs: Any) -> str:
        """Foods: how many are new, changed, the same."""
        return filed_words(foods_import(**kwargs))
