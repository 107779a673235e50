"""The words of a lead-in: what a task is called, how long it can wait, what to do about a late one.

Titles hold no health detail and no name, since they also stand in calendars.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coaching.domain.units import System
from plans.domain.book import Food
from plans.domain.lead_in.asking import Day, LeftOut, Plan, Task, Ticked, UsingUp
from plans.domain.lead_in.trips import TRIP
from plans.printables.words import day_words, listed, short_names, span_words, weight_words
from plans.wording import SLOT, say


@dataclass(frozen=True, slots=True)
class LeadInWords:
    """How a household's lead-in is said. ``names`` are its starting eaters by key."""

    plan: Plan
    foods: Mapping[str, Food]
    system: System
    names: Mapping[str, str]
    today: date

    def title(self, task: Task) -> str:
        """What a task is called."""
        if task.using_up is not None:
            used = task.using_up
            amount = weight_words(used.amount_g, self.foods.get(used.food), self.system)
            return _("Use up %(amount)s of %(food)s") % {"amount": amount, "food": self.food(used.food)}
        if not task.title:
            return _("Shop: %(foods)s") % {"foods": self.listed(task.buys)}
        return task.title

    def settled(self, one: Ticked) -> str:
        """What a settled task is called; a trip by what was bought."""
        if one.task is not None:
            return self.title(one.task)
        if one.name.startswith(TRIP):
            return _("Shop: %(foods)s") % {
                "foods": self.listed(tuple(one.name.removeprefix(TRIP).split(", ")))
            }
        return one.title

    def food(self, key: str) -> str:
        """A food's name as it stands in a sentence; one that has left the book shows its key."""
        return short_names([self.foods[key]])[key] if key in self.foods else key

    def listed(self, keys: tuple[str, ...]) -> str:
        """Foods in a sentence."""
        return listed([self.food(key) for key in keys])

    def eaters(self, task: Task) -> str:
        """Whom it is for; nothing when it is for all who start."""
        whom = [self.names[key] for key in task.eaters if key in self.names]
        return _("for %(eaters)s") % {"eaters": listed(whom)} if 0 < len(whom) < len(self.names) else ""

    def slack(self, task: Task) -> str:
        """How long it can wait."""
        if task.late:
            return ""
        if task.using_up is not None:
            return _("by %(day)s") % {"day": day_words(task.latest)}
        if task.slack <= 0:
            return _("cannot wait")
        return _("can wait until %(day)s") % {"day": day_words(task.latest)}

    def late(self, task: Task) -> str:
        """That it is late, and what to do: begin now, wait longer, or buy."""
        if not task.late:
            return ""
        by = {"day": day_words(task.latest)}
        if task.on <= self.today:
            said = _("Late: this should be begun by %(day)s. Begin now.") % by
        else:
            said = _("Late: this should be done by %(day)s, and cannot be sooner than it stands here.") % by
        return f"{said} {self.instead(task)}".strip()

    def instead(self, task: Task) -> str:
        """What can be bought in its place."""
        return _("Or buy instead: %(what)s") % {"what": task.buy_instead} if task.buy_instead else ""

    def more(self, task: Task) -> tuple[str, ...]:
        """What else is to be known of a task."""
        said = []
        if task.title and task.buys:
            said.append(_("On this trip also: %(foods)s.") % {"foods": self.listed(task.buys)})
        if task.ready_from is not None:
            said.append(_("Ready from %(day)s.") % {"day": day_words(task.ready_from)})
        if task.again is not None:
            said.append(
                _("It was done on %(day)s, but that will not keep until it is needed.")
                % {"day": day_words(task.again)}
            )
        said += [
            _("Not for %(name)s: %(why)s.") % {"name": name, "why": say(reason)}
            for name, reason in task.not_for
            if name
        ]
        if task.using_up is not None:
            said += self._use_up(task.using_up)
        return tuple(said)

    def left_out(self, lost: LeftOut) -> str:
        """Why a task is for nobody."""
        if lost.without:
            return _("%(task)s: it needs “%(other)s”, which is left out.") % {
                "task": lost.title,
                "other": lost.without,
            }
        why = [
            _("%(name)s, %(food)s: %(why)s") % {"name": name, "food": self.food(food), "why": say(reason)}
            if name
            else _("there is no freezer")
            for name, food, reason in lost.why
        ]
        return _("%(task)s (%(why)s).") % {"task": lost.title, "why": "; ".join(why)}

    def overfull(self, day: Day) -> str:
        """That a day holds more work than free minutes."""
        if not day.is_overfull:
            return ""
        return _("More than this day has: %(work)s of work, %(free)s free.") % {
            "work": span_words(day.hands_on_min),
            "free": span_words(day.free_min or 0),
        }

    def work(self, day: Day) -> str:
        """The work of a day against its free minutes, where both are known."""
        if not day.hands_on_min:
            return ""
        if day.free_min is None:
            return span_words(day.hands_on_min)
        return _("%(work)s of work, %(free)s free") % {
            "work": span_words(day.hands_on_min),
            "free": span_words(day.free_min),
        }

    def trips(self) -> str:
        """How often to go to the shop."""
        count = len(self.plan.trips)
        if not count:
            return ""
        days = listed([day_words(on) for on in self.plan.trips])
        return ngettext("Shop in one trip: %(days)s.", "Shop in %(count)d trips: %(days)s.", count) % {
            "count": count,
            "days": days,
        }

    def countdown(self, on: date) -> str:
        """How far a day is from day one."""
        days = (self.plan.day_one - on).days
        if not days:
            return _("day one")
        if days < 0:
            return ngettext("%(days)d day after day one", "%(days)d days after day one", -days) % {
                "days": -days
            }
        return ngettext("%(days)d day before", "%(days)d days before", days) % {"days": days}

    def _use_up(self, used: UsingUp) -> list[str]:
        said = []
        if used.meal is not None:
            facts = {
                "dish": used.meal.title,
                "slot": str(SLOT[used.meal.slot]).lower(),
                "times": used.meal.times,
            }
            said.append(
                ngettext(
                    "For example in %(dish)s (%(slot)s), cooked once.",
                    "For example in %(dish)s (%(slot)s), cooked %(times)d times.",
                    used.meal.times,
                )
                % facts
            )
            if not used.meal.enough:
                said.append(_("That does not use all of it: give away what you cannot finish."))
        else:
            said.append(_("No dish of the book that all can eat uses it: give away what you cannot finish."))
        if used.keeps_until_open and used.opens is not None:
            said.append(
                _("Or put it away sealed: it may open from %(day)s and is good until then.")
                % {"day": day_words(used.opens)}
            )
        return said
