"""The rules table of a protocol of 300 foods and 8 stages: one edit's answer against the full page it belongs to."""

from django.test import Client

from plans.models import Food, ProtocolVersion
from plans.services.drafts import draft_begin
from tests.bench.harness import Result, paired_timing
from tests.cast import Cast, make_cast
from tests.factories import NOON, SMALL_PROTOCOL, FoodFactory

FOODS, STAGES, GROUPS = 300, 8, 25
ONE_EDIT = 0.35
"""An edit answers with the rows it changed; a page renders 2,600 cells. Half of this was measured."""
MANY_EDITS = 2.5
"""A whole stage set at once answers with every row, after reading, checking and keeping them."""


def fill_table(cast: Cast) -> ProtocolVersion:
    """A draft with a row for every other food and every group, opening stage by stage."""
    foods = [FoodFactory.build(practice=cast.practice, group=f"group {n % GROUPS}") for n in range(FOODS)]
    Food.objects.bulk_create(foods)
    keys = [f"stage-{n}" for n in range(STAGES)]
    rows = [
        {"food": food.key, "stage": keys[n % 4], "allowance": "as prepared", "forms": ["boiled + peeled"]}
        for n, food in enumerate(foods)
        if n % 2
    ]
    rows += [{"group": f"group {n}", "stage": keys[4 + n % 4], "allowance": "freely"} for n in range(GROUPS)]
    stages = [
        {"key": key, "title": f"Stage {n}", "aim": "Go on.", "least_days": 5, "usual_days": 10}
        for n, key in enumerate(keys)
    ]
    version = cast.version
    version.document = SMALL_PROTOCOL | {"stages": stages, "rules": rows}
    version.save()
    return draft_begin(protocol=version.protocol, by=None, at=NOON)


def run() -> list[Result]:
    cast = make_cast()
    draft = fill_table(cast)
    browser = Client()
    browser.force_login(cast.coach.user)
    address = f"/protocols/{draft.protocol_id}/draft/"
    food = Food.objects.filter(practice=cast.practice).first()
    every_food = "\n".join(
        f"food:{key}@stage-7"
        for key in Food.objects.filter(practice=cast.practice).values_list("key", flat=True)
    )
    now = {"seen": draft.digest, "words": ["freely", "as prepared"]}

    def page() -> bytes:
        response = browser.get(address)
        if response.status_code != 200:
            raise RuntimeError(f"The table answered {response.status_code}.")
        return response.content

    def edit(cells: str) -> None:
        now["words"].reverse()
        fields = {
            "seen": now["seen"],
            "do": "set",
            "cells": cells,
            "allowance": now["words"][0],
            "forms": "boiled",
        }
        response = browser.post(f"{address}edit/", fields, headers={"Accept": "application/json"})
        if response.status_code != 200:
            raise RuntimeError(f"The edit answered {response.status_code}: {response.content[:300]!r}")
        now["seen"] = response.json()["seen"]

    return [
        paired_timing(
            name=f"one edit, {FOODS} foods × {STAGES} stages",
            subject=lambda: edit(f"food:{food.key}@stage-7"),
            baseline_name="the full page",
            baseline=page,
            goal=ONE_EDIT,
        ),
        paired_timing(
            name=f"{FOODS} cells at once",
            subject=lambda: edit(every_food),
            baseline_name="the full page",
            baseline=page,
            goal=MANY_EDITS,
            rounds=5,
            warm_ups=1,
        ),
    ]
