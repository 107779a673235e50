"""The demo practice: invented people on invented diets, told in days before and after today.

Nobody here is real. Stages are named by their place in the protocol (1 is the first), days count back from today, so
the board looks alive on any date.
"""

from dataclasses import dataclass, field

from clients.domain.people import WeeklyMeal
from plans.domain.body import Activity
from plans.domain.vocabulary import Slot

PRACTICE = {
    "slug": "quillmere",
    "name": "Quillmere Food Coaching",
    "postal_address": "The Old Creamery\n4 Weir Lane\nQuillmere",
    "email": "hello@quillmere.example.org",
    "phone": "555-0148",
    "country": "IE",
    "time_zone": "Europe/Dublin",
}
STAFF = (
    ("owner", "maren@quillmere.example.org", "Maren Tolle"),
    ("coach", "jude@quillmere.example.org", "Jude Abara"),
    ("assistant", "pia@quillmere.example.org", "Pia Lund"),
)
PASSWORD = "oats-and-slow-barley"  # noqa: S105  (printed for everyone who starts the demo)
CLIENT_SIGN_IN = "nell@quillmere.example.org"


@dataclass(frozen=True)
class Measured:
    """Measures of an adult, taken ``days_ago``: kilograms and centimetres."""

    weight_kg: str
    height_cm: str
    activity: Activity
    days_ago: int


@dataclass(frozen=True)
class Tried:
    """A food begun ``days_ago`` in one form and watched for ``watch_days`` more."""

    food: str
    form: str
    days_ago: int
    watch_days: int


@dataclass(frozen=True)
class Told:
    """Foods a clinician asked to leave out ``days_ago``, for ``weeks`` from today."""

    foods: tuple[str, ...]
    said_by: str
    days_ago: int
    weeks: int
    note: str


@dataclass(frozen=True)
class Kept:
    """Some of a food in the house, grams as bought; ``good_days`` from today until its date, which may be over."""

    food: str
    amount_g: int
    place: str
    good_days: int | None = None


@dataclass(frozen=True)
class Person:
    """One eater. ``stays`` are (stage number, days in it), the last one still running; none: follows no protocol.

    ``course`` is how the check-ins run: better, flat, worse, bumpy. ``every`` is days between check-ins, ``silent`` the
    days since the last one. ``answers`` are screening answers other than no.
    """

    name: str
    age: int
    sex: str
    stays: tuple[tuple[int, int], ...] = ()
    appetite: str = "1.0"
    leaning: str = "none"
    allergies: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    dislikes: tuple[str, ...] = ()
    answers: dict[str, bool] = field(default_factory=dict)
    course: str = "better"
    every: int = 1
    silent: int = 0
    red_flag: str = ""
    hold_days: int = 0
    starts_in: int | None = None
    protocol: str = "hearth-five"
    signed_off: bool = False
    away: tuple[WeeklyMeal, ...] = ()
    measured: Measured | None = None
    tries: Tried | None = None
    told: Told | None = None

    @property
    def follows(self) -> bool:
        """Whether this eater follows a protocol, now or soon."""
        return bool(self.stays) or self.starts_in is not None


@dataclass(frozen=True)
class Home:
    """One household: its first eater is the client. ``packet`` asks for a packet of this week.

    ``wants`` come first in their order of wants, most wanted first; ``at_home_min`` is as in a kitchen's facts.
    """

    name: str
    email: str
    people: tuple[Person, ...]
    coach: str = "jude"
    busy: tuple[str, ...] = ("tue", "thu")
    pots_l: tuple[float, ...] = (7.5,)
    packet: bool = False
    out: tuple[str, ...] = ()
    at_home_min: dict[str, int] = field(default_factory=dict)
    wants: tuple[str, ...] = ()
    stores: tuple[Kept, ...] = ()


SCHOOL_DAYS = ("mon", "tue", "wed", "thu", "fri")

HOMES = (
    Home(
        "Marsh",
        CLIENT_SIGN_IN,
        (
            Person(
                "Nell Marsh",
                38,
                "female",
                ((1, 11), (2, 12)),
                appetite="1.5",
                course="better",
                silent=1,
                measured=Measured("64.5", "168", Activity.LOW_ACTIVE, 20),
                tries=Tried("sauerkraut-brine", "culture-liquid", 2, 4),
            ),
            Person(
                "Tom Marsh",
                41,
                "male",
                appetite="1.9",
                leaning="meat",
                away=(("thu", Slot.EVENING),),
                measured=Measured("83", "182", Activity.ACTIVE, 20),
            ),
            Person(
                "Ivo Marsh",
                6,
                "male",
                ((1, 16),),
                appetite="0.9",
                dislikes=("beetroot",),
                course="bumpy",
                silent=1,
                signed_off=True,
                away=tuple((day, Slot.MIDDAY) for day in SCHOOL_DAYS),
            ),
        ),
        busy=("thu",),
        packet=True,
        out=("wed",),
        at_home_min={"mon": 240, "tue": 240, "wed": 210, "thu": 240, "fri": 300},
        wants=("nourishment", "stores", "time"),
        stores=(
            Kept("salt", 600, "cupboard"),
            Kept("olive-oil", 420, "cupboard", 240),
            Kept("white-rice", 900, "cupboard", 180),
            Kept("carrot", 1200, "refrigerator", 9),
            Kept("courgette", 500, "refrigerator", 4),
            Kept("sauerkraut-brine", 250, "refrigerator", 60),
            Kept("chicken-carcass", 1400, "freezer", 55),
            Kept("beef-mince", 1000, "freezer", 75),
        ),
    ),
    Home(
        "Adeyemi",
        "tola@quillmere.example.org",
        (Person("Tola Adeyemi", 44, "female", ((1, 6),), course="flat", red_flag="blood-in-stool"),),
    ),
    Home(
        "Brandt",
        "greta@quillmere.example.org",
        (
            Person("Greta Brandt", 35, "female", starts_in=9, leaning="vegetables"),
            Person("Jonas Brandt", 37, "male", starts_in=9, appetite="1.2", allergies=("milk",)),
        ),
        busy=("mon", "wed"),
        stores=(
            Kept("salt", 400, "cupboard"),
            Kept("coffee", 180, "cupboard", 150),
            Kept("pasta-wheat", 500, "cupboard", 200),
            Kept("oats", 400, "cupboard", 90),
            Kept("sugar", 500, "cupboard"),
            Kept("hard-cheese", 100, "refrigerator", 6),
            Kept("yoghurt", 300, "refrigerator", -1),
            Kept("carrot", 600, "refrigerator", 8),
            Kept("chicken-carcass", 900, "freezer", 80),
            Kept("cod", 400, "freezer", 50),
        ),
    ),
    Home(
        "Castellan",
        "rosa@quillmere.example.org",
        (
            Person(
                "Rosa Castellan",
                52,
                "female",
                ((1, 9), (2, 14), (3, 22)),
                course="bumpy",
                hold_days=10,
                every=2,
            ),
        ),
    ),
    Home(
        "Dunne",
        "aoife@quillmere.example.org",
        (Person("Aoife Dunne", 29, "female", ((1, 10), (2, 9)), silent=5, every=1),),
    ),
    Home(
        "Eklund",
        "per@quillmere.example.org",
        (
            Person(
                "Per Eklund",
                61,
                "male",
                ((1, 8), (2, 12), (3, 18)),
                course="worse",
                every=2,
                told=Told(
                    ("cabbage", "onion"),
                    "Dr Lina Varga, general practitioner",
                    3,
                    3,
                    "Until she has gone through the test results with him.",
                ),
            ),
        ),
    ),
    Home(
        "Farouk",
        "salma@quillmere.example.org",
        (
            Person("Salma Farouk", 33, "female", ((1, 11),), allergies=("milk",), silent=1),
            Person("Idris Farouk", 36, "male", appetite="1.2"),
        ),
    ),
    Home(
        "Gallagher",
        "dara@quillmere.example.org",
        (Person("Dara Gallagher", 47, "female", ((1, 13), (2, 33)), course="flat", every=3),),
    ),
    Home(
        "Hale",
        "edith@quillmere.example.org",
        (Person("Edith Hale", 77, "female", starts_in=4, appetite="0.8"),),
        busy=(),
        pots_l=(4.0,),
    ),
    Home(
        "Ito",
        "haru@quillmere.example.org",
        (
            Person("Haru Ito", 40, "male", ((1, 7), (2, 8), (3, 16), (4, 11)), every=3),
            Person("Mika Ito", 42, "female", appetite="0.9"),
        ),
    ),
    Home(
        "Jansen",
        "wim@quillmere.example.org",
        (
            Person(
                "Wim Jansen", 55, "male", ((2, 12), (3, 20), (4, 18), (5, 6)), allergies=("fish",), every=3
            ),
        ),
        coach="maren",
    ),
    Home(
        "Kowal",
        "ania@quillmere.example.org",
        (
            Person(
                "Ania Kowal",
                31,
                "female",
                ((1, 18),),
                course="better",
                every=2,
                protocol="three-phase-fermentable",
                signed_off=True,
            ),
        ),
        coach="maren",
    ),
)
