"""A new household as it was handed in: who, in which kitchen, agreed to what, on which protocol.

The form and the household file both end here, and one service makes rows of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from clients.domain.questions import Answer
from plans.domain.batch.jars import COMMON_JARS
from plans.domain.vocabulary import Slot

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
WeeklyMeal = tuple[str, Slot]
"""A weekday and a slot: a meal that comes every week."""
MOST_EATERS = 20
MOST_POTS = 6
MOST_BURNERS = 8
USUAL_BURNERS = 2
"""How many pots of stock can stand on a home stove side by side, unless the household says otherwise."""
MOST_ELEVATION_M = 5500
MOST_APPETITE = 3
"""The most adult portions one eater can be given."""
MOST_AT_HOME_MIN = 24 * 60
JAR_SIZES = tuple(size.key for size in COMMON_JARS)


@dataclass(frozen=True, slots=True)
class NewClient:
    """The person who signed up."""

    name: str
    email: str
    phone: str = ""
    language: str = "en"
    time_zone: str = "UTC"


@dataclass(frozen=True, slots=True)
class KitchenFacts:
    """What a household cooks with and when. Pots are litres, hands-on minutes by weekday, jars a count.

    ``jars`` counts them all, ``jar_sizes`` those whose size is known. ``shallow_l`` is what the shallow dishes hold
    where it stands no deeper than a shallow layer. ``elevation_m`` is None where nobody said how high up it is.
    ``at_home_min`` is the longest time somebody is at home in one go, by weekday; a day without it has no such limit.
    On the weekdays ``out`` nobody is there to cook at midday.
    """

    pots_l: tuple[Decimal, ...] = ()
    jars: int = 0
    hands_on_min: Mapping[str, int] = field(default_factory=dict)
    busy: tuple[str, ...] = ()
    freezer: bool = True
    burners: int = USUAL_BURNERS
    jar_sizes: Mapping[str, int] = field(default_factory=dict)
    shallow_l: Decimal = Decimal(0)
    iced_water: bool = False
    elevation_m: Decimal | None = None
    at_home_min: Mapping[str, int] = field(default_factory=dict)
    out: tuple[str, ...] = ()

    def record(self) -> dict[str, object]:
        """The kitchen as ``ladlework/household/1`` writes it; what nobody gave has no place among the last three."""
        known: dict[str, object] = {}
        if self.elevation_m is not None:
            known["elevation_m"] = float(self.elevation_m)
        if self.at_home_min:
            known["at_home_min"] = {day: self.at_home_min[day] for day in WEEKDAYS if day in self.at_home_min}
        if self.out:
            known["out"] = [day for day in WEEKDAYS if day in self.out]
        return {
            "pots_l": [float(pot) for pot in self.pots_l],
            "jars": self.jars,
            "hands_on_min": {day: self.hands_on_min.get(day, 0) for day in WEEKDAYS},
            "busy": [day for day in WEEKDAYS if day in self.busy],
            "freezer": self.freezer,
            "burners": self.burners,
            "jar_sizes": {size: self.jar_sizes[size] for size in JAR_SIZES if self.jar_sizes.get(size)},
            "shallow_l": float(self.shallow_l),
            "iced_water": self.iced_water,
            **known,
        }

    @classmethod
    def from_record(cls, record: Mapping[str, object]) -> "KitchenFacts":
        """The inverse of ``record``; what is missing takes its default."""
        elevation = record.get("elevation_m")
        return cls(
            pots_l=tuple(Decimal(str(pot)) for pot in record.get("pots_l", ())),
            jars=int(record.get("jars", 0)),
            hands_on_min=dict(record.get("hands_on_min", {})),
            busy=tuple(record.get("busy", ())),
            freezer=bool(record.get("freezer", True)),
            burners=int(record.get("burners", USUAL_BURNERS)),
            jar_sizes=dict(record.get("jar_sizes", {})),
            shallow_l=Decimal(str(record.get("shallow_l", 0))),
            iced_water=bool(record.get("iced_water", False)),
            elevation_m=None if elevation is None else Decimal(str(elevation)),
            at_home_min=dict(record.get("at_home_min", {})),
            out=tuple(record.get("out", ())),
        )


@dataclass(frozen=True, slots=True)
class NewEnrolment:
    """A place on one protocol version, by the version's id, from a stage and a day."""

    version: str
    stage: str
    start_on: date


@dataclass(frozen=True, slots=True)
class NewEater:
    """One person at the table. ``allergies`` are families; ``excluded`` and ``dislikes`` are food keys.

    ``away`` are the meals of the week they eat elsewhere.
    """

    name: str
    born: date
    sex: str = "unstated"
    appetite: Decimal = Decimal(1)
    leaning: str = "none"
    dislikes: tuple[str, ...] = ()
    allergies: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    away: frozenset[WeeklyMeal] = frozenset()
    answers: Mapping[str, Answer] = field(default_factory=dict)
    is_client: bool = False
    enrolment: NewEnrolment | None = None


@dataclass(frozen=True, slots=True)
class NewConsent:
    """What the client agreed to, in the words shown, and the day."""

    text: str
    agreed_on: date


@dataclass(frozen=True, slots=True)
class NewHousehold:
    """Everything a household begins with. ``wants`` is their order of what a week is to do well; empty: the usual."""

    name: str
    client: NewClient
    kitchen: KitchenFacts
    eaters: tuple[NewEater, ...]
    consent: NewConsent
    wants: tuple[str, ...] = ()
