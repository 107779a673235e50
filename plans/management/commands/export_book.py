"""``manage.py export_book FOLDER``: write the book of a practice as files that can be imported again."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from plans.domain.filing.foods import FoodsFile, foods_yaml
from plans.domain.filing.protocols import protocol_yaml
from plans.domain.filing.recipes import recipes_yaml
from plans.management.filing import PracticeCommand
from plans.models import Protocol
from plans.selectors import newest_versions, own_foods_of, protocol_of, recipes_of, sources_of


class Command(PracticeCommand):
    help = "Write foods.yaml, recipes.yaml and a file for each protocol's newest version into a folder."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("folder", type=Path, help="where the files go; made when it is not there")

    def handle(self, *, folder: Path, practice: str | None, **options: Any) -> None:
        """Write the files, foods first: the others name them."""
        where = self.practice(practice)
        foods, recipes = own_foods_of(where), recipes_of(where)
        texts = {}
        if foods:
            texts["foods.yaml"] = foods_yaml(FoodsFile(tuple(foods), sources_of(where)))
        if recipes:
            texts["recipes.yaml"] = recipes_yaml(recipes)
        for version in newest_versions(Protocol.objects.filter(practice=where)):
            texts[f"protocol-{version.protocol.key}.yaml"] = protocol_yaml(protocol_of(version))
        folder.mkdir(parents=True, exist_ok=True)
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8")
            self.stdout.write(str(folder / name))
