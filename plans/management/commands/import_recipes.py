"""``manage.py import_recipes FILE``: add and replace recipes of a practice."""

from typing import Any

from plans.management.filing import ImportCommand
from plans.services.recipes import recipes_import
from plans.views.wording import filed_words


class Command(ImportCommand):
    help = "Add the recipes of a file to the book, and replace those with the same keys."

    @staticmethod
    def file(**kwargs: Any) -> str:
        """Recipes: how many are new, changed, the same."""
        return filed_words(recipes_import(**kwargs))
