"""Everything a packet says, frozen in the words it is printed in, so that it can be kept, compared and printed again.

Facts are text, whole numbers, truth values and tuples of these; ``as_json`` turns them into what a JSON column holds.
They are worded in the packet's language by the sheet modules; the templates add nothing but headings. An empty text or
tuple means that there is nothing to say.
"""

import json
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Sender:
    """The practice as it stands on paper. ``emergency_number`` is what to dial where the practice works."""

    name: str
    address: tuple[str, ...]
    phone: str
    email: str
    coach: str
    emergency_number: str


@dataclass(frozen=True, slots=True)
class Standing:
    """Where one eater stands: named on everything that is printed for them."""

    eater: str
    protocol: str
    version: int
    stage: str
    stage_number: int
    stage_count: int
    as_of: str
    day_one: str
    dietitian: bool = False


@dataclass(frozen=True, slots=True)
class CoverEater:
    """One row of the cover's table; ``standing`` is None for an eater who follows no protocol."""

    name: str
    standing: Standing | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class CoverEntry:
    """One line of the list of sheets, leading to the sheet with this anchor."""

    anchor: str
    title: str
    use: str


@dataclass(frozen=True, slots=True)
class Cover:
    """Who this is for, from when, and how to use it."""

    household: str
    client: str
    period: str
    day_one: str
    eaters: tuple[CoverEater, ...]
    contents: tuple[CoverEntry, ...]
    how_to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CautionNote:
    """One caution that stands for one eater. ``strength`` is worded; ``points`` are further sentences."""

    eater: str
    strength: str
    title: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class CareSigns:
    """Signs of one urgency and what to do about them."""

    do: str
    signs: tuple[str, ...]
    emergency: bool = False


@dataclass(frozen=True, slots=True)
class CoreRow:
    """One row of the temperature table: food, degrees Fahrenheit and Celsius, and what else to mind."""

    food: str
    fahrenheit: int
    celsius: int
    rest: str = ""


@dataclass(frozen=True, slots=True)
class KeepRow:
    """One row of the storing table."""

    food: str
    fridge: str
    freezer: str


@dataclass(frozen=True, slots=True)
class Cautions:
    """What to mind before cooking, and when to ask for help."""

    notes: tuple[CautionNote, ...]
    core: tuple[CoreRow, ...]
    core_source: str
    keep: tuple[KeepRow, ...]
    keep_source: str
    kitchen: tuple[str, ...]
    kitchen_source: str
    care: tuple[CareSigns, ...]


@dataclass(frozen=True, slots=True)
class GroupFoods:
    """Foods of one group, by name."""

    group: str
    foods: str


@dataclass(frozen=True, slots=True)
class FoodLine:
    """Foods that are prepared alike, by group; without ``how`` any preparation will do."""

    how: str
    groups: tuple[GroupFoods, ...]


@dataclass(frozen=True, slots=True)
class TasteLine:
    """A food met by the spoon: how it is prepared and how the amount grows."""

    food: str
    how: str
    amounts: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class AllowanceBlock:
    """One of the five allowances. ``code`` chooses its line pattern; ``word`` and ``meaning`` say it."""

    code: str
    word: str
    meaning: str
    lines: tuple[FoodLine, ...] = ()
    tastes: tuple[TasteLine, ...] = ()
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WhenLine:
    """What changes while a condition lasts."""

    condition: str
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StageSheet:
    """One eater's stage on one or two pages, for the refrigerator door."""

    standing: Standing
    stages: tuple[str, ...]
    aim: str
    spans: str
    allowances: tuple[AllowanceBlock, ...]
    left_out: tuple[str, ...]
    introductions: tuple[str, ...]
    when: tuple[WhenLine, ...]
    moving_on: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeadInTask:
    """One dated task. ``late`` says that it cannot be done in time and what to do, ``slack`` how long it can wait,
    ``more`` what else is to be known: what to buy, when it is ready, whom it is not for.
    """

    title: str
    hands_on: str
    note: str
    source: str
    kind: str
    eaters: str = ""
    late: str = ""
    slack: str = ""
    more: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeadInDay:
    """One day of the lead-in."""

    date: str
    countdown: str
    tasks: tuple[LeadInTask, ...]
    work: str = ""
    overfull: str = ""


@dataclass(frozen=True, slots=True)
class LeadIn:
    """The work before day one. ``honest`` is the first day one that nothing is late for, if this one is too near."""

    day_one: str
    days: tuple[LeadInDay, ...]
    hands_on: str
    honest: str = ""
    trips: str = ""
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Purchase:
    """One thing to buy: whole packs, and how much of it is needed, in the practice's units first.

    ``house`` says how much of it is in the house already and taken off.
    """

    food: str
    buy: str
    needed: str
    note: str = ""
    house: str = ""


@dataclass(frozen=True, slots=True)
class Aisle:
    """What stands together in a shop."""

    name: str
    purchases: tuple[Purchase, ...]


@dataclass(frozen=True, slots=True)
class Shopping:
    """What the week takes, by aisle; ``at_hand`` is what the kitchen makes itself, ``in_house`` what there is enough
    of, ``unweighed`` what has no amount."""

    period: str
    aisles: tuple[Aisle, ...]
    at_hand: tuple[Purchase, ...] = ()
    in_house: tuple[Purchase, ...] = ()
    unweighed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Meal:
    """One dish at one meal. ``eaters`` is empty when everyone has it; ``source`` says where it comes from."""

    dish: str
    source: str
    eaters: str = ""
    plate_notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SlotMeals:
    """What there is at one time of the day."""

    slot: str
    meals: tuple[Meal, ...]


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day at the table and at the stove."""

    name: str
    date: str
    slots: tuple[SlotMeals, ...]
    cooks: tuple[str, ...]
    freezer: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeekSheet:
    """Seven days; ``before`` is the day before them, if anything is cooked or thawed then."""

    period: str
    slots: tuple[str, ...]
    days: tuple[WeekDay, ...]
    before: WeekDay | None = None
    has_freezer: bool = False


@dataclass(frozen=True, slots=True)
class CardIngredient:
    """One line of a card. ``mark`` says how it takes part: taken out, on the plate, may be left out."""

    amount: str
    food: str
    how: str
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """One recipe, scaled to what this household cooks."""

    title: str
    cooked: tuple[str, ...]
    yields: str
    times: str
    ingredients: tuple[CardIngredient, ...]
    steps: tuple[str, ...]
    plates: tuple[str, ...]
    core: str
    cooling: str
    keeps: tuple[str, ...]
    child_note: str = ""


@dataclass(frozen=True, slots=True)
class DiaryRow:
    """One question of the paper check-in and how to answer it."""

    question: str
    hint: str = ""
    tall: bool = False


@dataclass(frozen=True, slots=True)
class Diary:
    """Seven days of check-ins on one page, for one eater."""

    standing: Standing
    days: tuple[str, ...]
    rows: tuple[DiaryRow, ...]
    stool_key: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PacketFacts:
    """A whole packet. ``printed`` is the ISO date it was made on, ``paper`` is ``a4`` or ``letter``.

    ``standings`` stand at the foot of every page, ``protocol_cautions`` at the end of every sheet.
    """

    language: str
    paper: str
    printed: str
    printed_on: str
    title: str
    sender: Sender
    household: str
    standings: tuple[str, ...]
    protocol_cautions: tuple[str, ...]
    cover: Cover
    cautions: Cautions
    stage_sheets: tuple[StageSheet, ...]
    lead_in: LeadIn | None
    shopping: Shopping | None
    week: WeekSheet | None
    cards: tuple[Card, ...]
    diaries: tuple[Diary, ...]


def as_json(facts: PacketFacts) -> dict[str, Any]:
    """The facts as a JSON column gives them back: equal facts, equal value, on the way in and on the way out."""
    return json.loads(json.dumps(asdict(facts), ensure_ascii=False))
