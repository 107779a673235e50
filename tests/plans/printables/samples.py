"""A small packet made by hand: invented people, every part of every sheet filled in."""

from dataclasses import replace

from plans.printables.facts import (
    Aisle,
    AllowanceBlock,
    Card,
    CardIngredient,
    CareSigns,
    CautionNote,
    Cautions,
    CoreRow,
    Cover,
    CoverEater,
    CoverEntry,
    Diary,
    DiaryRow,
    FoodLine,
    GroupFoods,
    KeepRow,
    LeadIn,
    LeadInDay,
    LeadInTask,
    Meal,
    PacketFacts,
    Purchase,
    Sender,
    Shopping,
    SlotMeals,
    StageSheet,
    Standing,
    TasteLine,
    WeekDay,
    WeekSheet,
    WhenLine,
)

NELL = Standing(
    eater="Nell",
    protocol="Hearth in five stages",
    version=3,
    stage="Settle",
    stage_number=1,
    stage_count=5,
    as_of="7 December 2026",
    day_one="7 December 2026",
)
IVO = replace(NELL, eater="Ivo", dietitian=True)

SENDER = Sender(
    name="Quillmere Food Coaching",
    address=("The Old Creamery", "4 Weir Lane", "Quillmere"),
    phone="555-0148",
    email="hello@quillmere.example.org",
    coach="Jude Abara",
    emergency_number="112",
)

COVER = Cover(
    household="Marsh",
    client="Nell Marsh",
    period="7 to 13 December 2026",
    day_one="Monday 7 December 2026",
    eaters=(CoverEater("Nell", NELL), CoverEater("Tom", None, "eats along"), CoverEater("Ivo", IVO)),
    contents=(
        CoverEntry("cautions", "Before you cook", "read once, keep"),
        CoverEntry("stage-1", "Nell: Settle", "on the refrigerator door"),
    ),
    how_to=("Read the page on safe cooking.", "Pin the stage sheet where you cook."),
)

CAUTIONS = Cautions(
    notes=(CautionNote("Ivo", "Good to know", "Growing child", "Weigh once a month.", "screening answers"),),
    core=(CoreRow("Poultry", 165, 74), CoreRow("Whole cuts", 145, 63, "then 3 minutes of rest")),
    core_source="a published chart",
    keep=(KeepRow("Soups and stews", "3 to 4 days", "2 to 3 months"),),
    keep_source="a published chart",
    kitchen=("Refrigerate within 2 hours.",),
    kitchen_source="a published page",
    care=(
        CareSigns("Call 112 now.", ("Trouble breathing", "Chest pain", "Faint after eating"), emergency=True),
        CareSigns("Speak to a doctor today.", ("Blood in the stool",)),
    ),
)

STAGE_SHEET = StageSheet(
    standing=NELL,
    stages=("Settle", "Soften", "Taste", "Widen", "Table"),
    aim="Give the gut an easy time.",
    spans="At least 5 days, usually 10.",
    allowances=(
        AllowanceBlock(
            "freely",
            "Freely",
            "Any way, any amount.",
            (FoodLine("", (GroupFoods("Stocks", "chicken stock"),)),),
        ),
        AllowanceBlock(
            "as-prepared",
            "As prepared",
            "Only as it says.",
            (FoodLine("Boiled, peeled", (GroupFoods("Soft roots", "carrot"),)),),
        ),
        AllowanceBlock(
            "first-tastes",
            "First tastes",
            "Start small.",
            tastes=(
                TasteLine("Sauerkraut brine", "live brine", "2 ml, then 2 ml more every 2 days", "Not hot."),
            ),
        ),
        AllowanceBlock(
            "flavour-only",
            "Flavour only",
            "Cook in, take out.",
            (FoodLine("In broth", (GroupFoods("Herbs", "bay leaf"),)),),
        ),
        AllowanceBlock("not-yet", "Not yet", "Later.", groups=("Nightshades", "Pulses")),
    ),
    left_out=("Milk, by allergy",),
    introductions=("Courgette, boiled: from 9 December, watch until 12 December",),
    when=(WhenLine("While stools are loose", ("Peel every root.",)),),
    moving_on=("Stools formed for three days",),
)

LEAD_IN = LeadIn(
    day_one="Monday 7 December 2026",
    days=(
        LeadInDay(
            "Monday 9 November",
            "28 days before",
            (LeadInTask("Start the cabbage", "40 min", "Salt it.", "a published guide", "culture"),),
        ),
    ),
    hands_on="4 h 20 min",
)

SHOPPING = Shopping(
    period="7 to 13 December 2026",
    aisles=(Aisle("Vegetables", (Purchase("Carrot", "1 kg", "820 g (1 lb 13 oz)"),)),),
    at_hand=(Purchase("Chicken stock", "", "2 l (2 quarts)"),),
)

DAY = WeekDay(
    name="Monday",
    date="7 December",
    slots=(
        SlotMeals("Breakfast", (Meal("Carrot porridge", "fresh"),)),
        SlotMeals("Mug", (Meal("Chicken stock", "from the refrigerator"),)),
        SlotMeals("Midday", (Meal("Chicken soup", "fresh", "Nell, Ivo", ("Ivo: without onion",)),)),
        SlotMeals("Evening", (Meal("Chicken soup", "from the refrigerator"),)),
    ),
    cooks=("Chicken soup, 5 portions",),
    freezer=("Move Beef stew to the refrigerator for tomorrow",),
)
WEEK = WeekSheet(
    period="7 to 13 December 2026",
    slots=("Breakfast", "Mug", "Midday", "Evening"),
    days=(DAY,) * 7,
    has_freezer=True,
)

CARD = Card(
    title="Chicken and carrot soup",
    cooked=("Monday 7 December",),
    yields="5 portions of 450 ml (2 cups)",
    times="15 min of work, 50 min in all",
    ingredients=(
        CardIngredient("625 g (1 lb 6 oz)", "Chicken thigh", "boiled, boned, skinned; 3 cm pieces"),
        CardIngredient("5 tsp", "Sauerkraut brine", "live brine", "on the plate"),
    ),
    steps=("Bring everything to a simmer.", "Let it tick over for thirty-five minutes."),
    plates=("Ivo: without sauerkraut brine",),
    core="165 °F (74 °C) in the thickest part",
    cooling="Chill within 2 hours.",
    keeps=("Cooked Monday: eat by Thursday 10 December.",),
    child_note="Mash the carrots.",
)

DIARY = Diary(
    standing=NELL,
    days=("Mon 7", "Tue 8", "Wed 9", "Thu 10", "Fri 11", "Sat 12", "Sun 13"),
    rows=(DiaryRow("Belly pain", "0–10"), DiaryRow("Notes", tall=True)),
    stool_key=("1 Hard little lumps", "4 Smooth and soft"),
)


def make_packet(**changes) -> PacketFacts:
    """The hand-made packet with some of it changed."""
    packet = PacketFacts(
        language="en",
        paper="a4",
        printed="2026-11-25",
        printed_on="25 November 2026",
        title="Packet for the Marsh household, 7 to 13 December 2026",
        sender=SENDER,
        household="Marsh",
        standings=("Hearth in five stages, version 3: Nell, Ivo (Settle), as of 7 December 2026",),
        protocol_cautions=("This is a plan for cooking, not a medical treatment.",),
        cover=COVER,
        cautions=CAUTIONS,
        stage_sheets=(STAGE_SHEET,),
        lead_in=LEAD_IN,
        shopping=SHOPPING,
        week=WEEK,
        cards=(CARD, replace(CARD, title="Beef stew")),
        diaries=(DIARY,),
    )
    return replace(packet, **changes)
