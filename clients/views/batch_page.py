"""What the page of a batch shows, in words: what to buy, the pots by the clock, the jars, the days, the labels."""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import UTC, date, timedelta
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from clients.domain.people import WEEKDAYS
from clients.wording.batch import (
    BONES,
    PLACE,
    SOUP,
    SOURCE,
    STOCK,
    Said,
    at_home_words,
    at_least_words,
    clock_words,
    degrees_words,
    let_down_words,
    remark_words,
    salt_words,
    strength_words,
)
from clients.wording.jars import JAR, JAR_COUNTED
from coaching.domain.calendar import wall_clock
from coaching.domain.units import System
from plans.domain.batch.asking import Ask, figures_of
from plans.domain.batch.jars import FilledJar, Place
from plans.domain.batch.outcome import Batch, Pot, label_of
from plans.domain.batch.safety import KitchenSafety
from plans.domain.batch.scaling import TINY
from plans.domain.batch.servings import Serving
from plans.domain.batch.trade import BRING_UP_MIN
from plans.printables.words import (
    amount_words,
    date_words,
    day_words,
    number_words,
    portions_words,
    sentence_case,
    span_words,
)


def batch_page(
    batch: Batch,
    ask: Ask,
    *,
    pots_full_ml: Sequence[Decimal],
    cuts: str,
    system: System,
    safety: KitchenSafety,
    at_home_min: Mapping[str, int],
) -> dict[str, Any]:
    """A planned batch in words. ``pots_full_ml`` are the kitchen's pots up to the brim, in the order of the ask.

    ``at_home_min`` are the longest times somebody is at home in one go, by weekday.
    """
    page = _Page(batch, ask, pots_full_ml, cuts, system, safety).context()
    return page | {"warnings": [*page["warnings"], *left_alone(batch, ask, at_home_min)]}


def left_alone(batch: Batch, ask: Ask, at_home_min: Mapping[str, int]) -> list[Said]:
    """A warning when the pots are on the heat for longer than somebody is at home on the day they begin."""
    begins = min(pot.starts_at.astimezone(UTC) for pot in batch.pots)
    ends = max(pot.off_heat_at.astimezone(UTC) for pot in batch.pots)
    day = WEEKDAYS[wall_clock(begins, ask.zone).weekday()]
    minutes = (ends - begins) // timedelta(minutes=1)
    if minutes <= at_home_min.get(day, minutes):
        return []
    return [at_home_words(minutes, day, at_home_min[day])]


class _Page:
    """A batch with what its words depend on."""

    def __init__(
        self,
        batch: Batch,
        ask: Ask,
        pots_full_ml: Sequence[Decimal],
        cuts: str,
        system: System,
        safety: KitchenSafety,
    ) -> None:
        self.batch = batch
        self.ask = ask
        self.cuts = cuts
        self.system = system
        self.safety = safety
        self.pots = _pot_names(pots_full_ml, system)
        self.day = batch.keeping.made_on

    def context(self) -> dict[str, Any]:
        batch = self.batch
        return {
            "title": self.name(),
            "day": day_words(wall_clock(self.ask.starts_at, self.ask.zone).date()),
            "warnings": [self.said(remark) for remark in batch.warnings],
            "buy": self.buy(),
            "pots": [self.pot(pot) for pot in batch.pots],
            "clocks_change": self.clocks_change(),
            "gives": self.gives(),
            "assumed": self.assumed(),
            "jars": self.jars(),
            "days": self.days(),
            "keeping": self.keeping(),
            "notes": [self.said(remark) for remark in batch.notes],
            "labels": [self.label(jar) for jar in batch.jars],
        }

    def name(self) -> str:
        is_soup = self.ask.need is not None and self.ask.need.vegetables_g > 0
        return str((SOUP if is_soup else STOCK)[self.batch.kind])

    def said(self, remark) -> Any:
        return remark_words(remark, system=self.system, pots=self.pots)

    def amount(self, quantity: Decimal, unit: str) -> str:
        return amount_words(quantity, unit, None, self.system)

    def buy(self) -> list[dict[str, str]]:
        batch = self.batch
        bones = str(BONES[batch.kind])
        rows = [
            {
                "term": _("%(bones)s: %(cuts)s") % {"bones": bones, "cuts": self.cuts}
                if self.cuts
                else bones,
                "value": self.amount(batch.bones_g, "g"),
                "note": self.bones_note(),
            },
            {"term": _("Water"), "value": self.amount(batch.water_ml, "ml")},
            {"term": _("Salt to begin with"), "value": salt_words(batch.salt_ml), "note": _("then to taste")},
        ]
        if batch.vegetables_g:
            rows.append({"term": _("Vegetables"), "value": self.amount(batch.vegetables_g, "g")})
        return rows

    def bones_note(self) -> str:
        if self.ask.bones_g is None:
            return _("to buy, for %(portions)s") % {"portions": portions_words(self.ask.need.total)}
        return _("of those at hand")

    def pot(self, pot: Pot) -> dict[str, Any]:
        filling, cooling = pot.filling, pot.cooling
        off = pot.off_heat_at.astimezone(UTC)
        simmers = off - timedelta(minutes=self.batch.simmer_min)
        clock = {
            "from": clock_words(wall_clock(simmers, self.ask.zone), self.day),
            "to": clock_words(pot.off_heat_at, self.day),
        }
        return {
            "name": sentence_case(self.pots[pot.vessel]),
            "bones": self.amount(filling.bones_g, "g"),
            "water": self.amount(filling.water_ml, "ml"),
            "full": round(100 * filling.full_ml / filling.pot_ml),
            "strength": strength_words(filling.strength, self.batch.let_down_per_ml, self.system),
            "clock": [
                {
                    "at": clock_words(pot.starts_at, self.day),
                    "what": _("On burner %(burner)d, in cold water; %(minutes)s to the first bubbles")
                    % {"burner": pot.burner, "minutes": span_words(BRING_UP_MIN)},
                },
                {
                    "at": _("%(from)s to %(to)s") % clock,
                    "what": _("Bare simmer, %(span)s") % {"span": span_words(self.batch.simmer_min)},
                },
                {"at": clock["to"], "what": _("Off the heat; strain and cool at once")},
                {
                    "at": _("by %(time)s") % {"time": clock_words(cooling.first_by, self.day)},
                    "what": _("Below %(degrees)s") % {"degrees": degrees_words(cooling.first_f)},
                },
                {
                    "at": _("by %(time)s") % {"time": clock_words(cooling.cold_by, self.day)},
                    "what": _("Below %(degrees)s, in the refrigerator")
                    % {"degrees": degrees_words(cooling.cold_f)},
                },
            ],
        }

    def clocks_change(self) -> bool:
        """Whether the clocks are put forward or back between the start and the last deadline."""
        first, last = self.batch.pots[0].starts_at, max(pot.cooling.cold_by for pot in self.batch.pots)
        return any(
            first.utcoffset() != at.utcoffset()
            for at in (last, *(pot.off_heat_at for pot in self.batch.pots))
        )

    def gives(self) -> list[dict[str, str]]:
        batch = self.batch
        rows = [
            {"term": _("Broth as it comes"), "value": self.amount(batch.broth_ml, "ml")},
            {
                "term": _("Strength"),
                "value": strength_words(batch.strength, batch.let_down_per_ml, self.system),
            },
        ]
        if batch.let_down_ml > TINY:
            usual = batch.broth_ml + batch.let_down_ml
            rows.append({"term": _("Broth when let down"), "value": self.amount(usual, "ml")})
        if batch.meat_g > TINY:
            rows.append({"term": _("Meat to pick off"), "value": self.amount(batch.meat_g, "g")})
        return rows

    def assumed(self) -> str:
        figures = figures_of(self.ask)
        return _(
            "Assumed: %(percent)s %% of the water boils off in an hour, and %(held)s stay with each %(weight)s of "
            "bones. Kitchens differ; common practice."
        ) % {
            "percent": number_words(figures.evaporation_per_hour * 100),
            "held": self.amount(figures.held_back_ml_per_g * 1000, "ml"),
            "weight": self.amount(Decimal(1000), "g"),
        }

    def jars(self) -> dict[str, Any]:
        """The jars, those filled alike in one row."""
        alike = Counter(
            (jar.place, jar.size, self.amount(jar.holds_ml, "ml"), jar.headspace_in)
            for jar in self.batch.jars
        )
        headings = [
            _("Size"),
            _("How many"),
            _("Each holds"),
            _("Leave empty"),
            _("Goes into the"),
        ]
        rows = (
            (JAR[size.key], count, holds, at_least_words(headspace, self.system), PLACE[place.value])
            for (place, size, holds, headspace), count in alike.items()
        )
        return {
            "columns": [{"label": heading} for heading in headings],
            "rows": [
                [{"text": text, "label": label} for text, label in zip(row, headings, strict=True)]
                for row in rows
            ],
        }

    def days(self) -> dict[str, Any]:
        """The servings day by day; a column nothing stands in is left out."""
        rows = [self.serving(serving) for serving in self.batch.servings]
        headings = {
            "day": _("Day"),
            "portions": _("Portions"),
            "source": _("Where from"),
            "broth": _("Broth from the jar") if self.batch.let_down_ml > TINY else _("Broth"),
            "water": _("Water to add"),
            "meat": _("Meat"),
            "vegetables": _("Vegetables"),
        }
        used = [name for name in headings if any(row[name] for row in rows)]
        cells = [[{"text": row[name], "label": headings[name]} for name in used] for row in rows]
        return {"columns": [{"label": headings[name]} for name in used], "rows": cells}

    def serving(self, serving: Serving) -> dict[str, str]:
        source = str(SOURCE[serving.source])
        if serving.thaw_on is not None:
            thaw = _("into the refrigerator on %(day)s to thaw") % {"day": day_words(serving.thaw_on)}
            source = f"{source}, {thaw}"
        return {
            "day": day_words(serving.on),
            "portions": portions_words(serving.portions),
            "source": source,
            "broth": self.amount(serving.jar_ml, "ml"),
            "water": self.some(serving.broth_ml - serving.jar_ml, "ml"),
            "meat": self.some(serving.meat_g, "g"),
            "vegetables": self.some(serving.vegetables_g, "g"),
        }

    def some(self, quantity: Decimal, unit: str) -> str:
        """An amount, or nothing for none."""
        return self.amount(quantity, unit) if quantity > TINY else ""

    def keeping(self) -> list[dict[str, str]]:
        keeping = self.batch.keeping
        rows = [{"term": _("Refrigerator: eat by"), "value": day_words(keeping.use_by)}]
        if self.ask.freezer:
            rows.append({"term": _("Freezer: at its best until"), "value": date_words(keeping.best_by)})
        reheat = degrees_words(self.safety.reheat_f)
        return [*rows, {"term": _("Reheat to"), "value": reheat, "note": _("a broth to a full boil")}]

    def label(self, jar: FilledJar) -> dict[str, Any]:
        label = label_of(self.batch, jar)
        if jar.place is Place.FREEZER:
            until = _("Frozen %(on)s, best by %(by)s") % {
                "on": _short(label.freeze_by),
                "by": _short(label.best_by),
            }
        else:
            until = _("Refrigerator: eat by %(by)s") % {"by": _short(label.eat_by)}
        return {
            "name": self.name(),
            "made": _("Made %(on)s") % {"on": _short(label.made_on)},
            "until": until,
            "holds": self.amount(jar.holds_ml, "ml"),
            "jar": JAR_COUNTED[jar.size.key],
            "let_down": sentence_case(let_down_words(label.let_down_per_ml, self.system)),
            "reheat": _("Reheat to %(degrees)s") % {"degrees": degrees_words(self.safety.reheat_f)},
        }


def _short(on: date | None) -> str:
    return date_format(on, _("j M Y")) if on is not None else ""


def _pot_names(pots_full_ml: Sequence[Decimal], system: System) -> list[str]:
    """``pot 1 (8 quarts)``: which pot is meant, with its size up to the brim in the practice's unit."""
    sizes = [pot_words(pot, system) for pot in pots_full_ml]
    if len(sizes) == 1:
        return [_("the pot (%(size)s)") % {"size": sizes[0]}]
    return [
        _("pot %(n)d (%(size)s)") % {"n": number, "size": size} for number, size in enumerate(sizes, start=1)
    ]


def pot_words(pot_ml: Decimal, system: System) -> str:
    """What a pot is called by its size."""
    return amount_words(pot_ml, "ml", None, system).partition(" (")[0]
