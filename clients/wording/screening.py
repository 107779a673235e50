"""The screening's words: what is asked, and what each caution means and asks for. Our own wording throughout."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from clients.domain.questions import Group
from clients.domain.screening import Strength

GROUP = {
    Group.NOW: _("Right now"),
    Group.BOWEL: _("Bowels and belly"),
    Group.BODY: _("Weight and growth"),
    Group.ALLERGY: _("Reactions to food"),
    Group.EATING: _("Eating"),
    Group.LIFE: _("Pregnancy and breastfeeding"),
    Group.MEDICINES: _("Medicines"),
    Group.CONDITIONS: _("Other conditions"),
}

QUESTION = {
    "bloody-diarrhoea": _("Diarrhoea with blood in it"),
    "feverish-diarrhoea": _("Diarrhoea with a fever above 38.5 °C (101.3 °F)"),
    "lasting-diarrhoea": _("Diarrhoea for more than a week; in a young child, for more than a day"),
    "no-fluids": _("No drink kept down for 12 hours"),
    "black-stools": _("Black, tar-like stools"),
    "severe-pain": _("Severe belly pain"),
    "jaundice": _("Yellow skin or eyes"),
    "chest-pain": _("Chest pain"),
    "rectal-bleeding": _("Blood from the back passage or on the stool, now or lately"),
    "bowel-habit-change": _("Looser or more frequent stools for more than six weeks"),
    "belly-pain": _("Belly pain that comes again and again"),
    "abdominal-mass": _("A lump in the belly or back passage that a doctor or they themselves felt"),
    "night-symptoms": _("Woken at night by the bowels, night sweats, or fever that nobody can explain"),
    "anaemia": _("Anaemia or low iron in a blood test"),
    "bowel-inflammation": _("Inflammatory bowel disease, or a test that points to it"),
    "bowel-cancer-family": _("Bowel or ovarian cancer in a parent, brother, sister or child"),
    "coeliac-question": _("A test for coeliac disease is planned or was never finished"),
    "eosinophilic-oesophagitis": _("Eosinophilic oesophagitis, or food that sticks on the way down"),
    "height-cm": _("Height"),
    "weight-kg": _("Weight"),
    "weight-before-kg": _("Earlier weight"),
    "little-intake-days": _("Days of eating little"),
    "unplanned-weight-loss": _("Lost weight without trying"),
    "acutely-ill": _("Acutely ill, with almost no food for more than five days or likely so"),
    "low-salts": _("Low potassium, phosphate or magnesium in the latest blood test"),
    "birth-centile": _("Weight centile at birth"),
    "centile-spaces-fallen": _("Centile spaces fallen since"),
    "current-centile": _("Weight centile now"),
    "birth-weight-loss": _("Lost more than a tenth of the birth weight in the first days"),
    "anaphylaxis": _("A severe reaction: trouble breathing, swollen throat, collapse, or an adrenaline pen"),
    "immediate-reaction": _("Hives, swelling or vomiting within two hours of a food"),
    "delayed-severe-reaction": _("Heavy vomiting, pallor or limpness one to four hours after a food"),
    "asthma": _("Asthma"),
    "eating-disorder-now": _("An eating disorder now, or under treatment for one"),
    "eating-disorder-past": _("An eating disorder in the past"),
    "eating-worry": _("Worry about food, weight or shape that gets in the way of daily life"),
    "few-foods": _("Eats fewer than about twenty foods, or the list keeps getting shorter"),
    "scoff-total": _("SCOFF total"),
    "pregnant": _("Pregnant, or may be"),
    "breastfeeding": _("Breastfeeding"),
    "glucose-lowering": _(
        "Insulin, or tablets that can make blood sugar fall too low (gliclazide and its kind)"
    ),
    "sglt2": _("An SGLT2 medicine (a name that ends in ‑gliflozin)"),
    "warfarin": _("Warfarin or another blood thinner that is checked by INR"),
    "steroids": _("Steroid tablets for four weeks or more, or a high-dose steroid inhaler"),
    "thyroxine": _("Thyroid tablets (levothyroxine)"),
    "refeeding-medicines": _("Much alcohol, or chemotherapy, antacids or water tablets"),
    "new-medicine": _("A medicine begun or changed in the last two weeks"),
    "kidney-disease": _("Kidney disease"),
    "gut-surgery": _("An operation on the stomach or bowel"),
    "weak-immunity": _("A weak immune system, or medicine that makes it so"),
}

HELP = {
    "weight-before-kg": _("Three to six months ago, only if weight was lost without trying."),
    "little-intake-days": _("Little or nothing, until now."),
    "scoff-total": _("Out of 5, if a clinician asked these questions."),
}


@dataclass(frozen=True, slots=True)
class CautionWords:
    """A caution for a coach to read: what was found, and what it asks for."""

    title: str
    meaning: str


_Words = tuple[Promise, Promise]
_TODAY: Promise = _(
    "This is for a doctor today, and for %(number)s if it gets worse. Begin once it has been looked at and is over."
)
_DOCTOR: Promise = _(
    "A doctor has to look at this before food is restricted. A diet can hide what it comes from."
)

_CAUTION: dict[str, _Words] = {
    "bloody-diarrhoea": (_("Diarrhoea with blood"), _TODAY),
    "feverish-diarrhoea": (_("Diarrhoea with high fever"), _TODAY),
    "lasting-diarrhoea": (_("Diarrhoea that lasts"), _TODAY),
    "no-fluids": (_("Keeps no drink down"), _TODAY),
    "black-stools": (_("Black stools"), _TODAY),
    "severe-pain": (_("Severe belly pain"), _TODAY),
    "jaundice": (_("Yellow skin or eyes"), _TODAY),
    "chest-pain": (
        _("Chest pain"),
        _("Call %(number)s for chest pain now. Begin only once a doctor has looked at it and it is over."),
    ),
    "rectal-bleeding": (_("Bleeding from the back passage"), _DOCTOR),
    "bowel-habit-change": (_("A lasting change of bowel habit"), _DOCTOR),
    "urgent-bowel-check": (
        _("Bowel signs that should be seen soon at this age"),
        _("Together with the age, these signs call for an appointment within days, not weeks."),
    ),
    "abdominal-mass": (_("A lump in the belly or back passage"), _DOCTOR),
    "night-symptoms": (_("Signs at night, or unexplained fever"), _DOCTOR),
    "anaemia": (_("Anaemia or low iron"), _DOCTOR),
    "bowel-inflammation": (
        _("Inflammatory bowel disease"),
        _("The team that treats it has to agree to the stages."),
    ),
    "bowel-cancer-family": (_("Bowel or ovarian cancer in the family"), _DOCTOR),
    "coeliac-question": (
        _("An open question of coeliac disease"),
        _("A test is right only while gluten is eaten. Finish the tests before any stage takes gluten out."),
    ),
    "eosinophilic-oesophagitis": (
        _("Eosinophilic oesophagitis, or food that sticks"),
        _(
            "Feeling better and being better can differ here. Every step belongs to the clinic that does the biopsies."
        ),
    ),
    "unplanned-weight-loss": (_("Weight lost without trying"), _DOCTOR),
    "weight-loss": (_("%(percent)s %% of weight lost without trying"), _DOCTOR),
    "underweight": (
        _("Underweight: body mass index %(bmi)s"),
        _("Below 18.5 a dietitian or doctor leads, and restriction waits for their word."),
    ),
    "malnutrition-risk": (
        _("Malnutrition screen: total %(score)s"),
        _(
            "From 2 on, a dietitian or doctor comes first. At 1, tell the client’s doctor and weigh again in a month."
        ),
    ),
    "refeeding-risk": (
        _("Eating more again could be dangerous"),
        _(
            "After little food or much weight loss, eating has to be built up under medical care with blood tests. "
            "No stage may start."
        ),
    ),
    "faltering-growth": (
        _("Growth falls behind"),
        _("A paediatric clinician has to weigh, measure and agree before any food is taken away."),
    ),
    "birth-weight-loss": (
        _("Much weight lost after birth"),
        _("A midwife, health visitor or paediatric clinician follows the weight first."),
    ),
    "infant": (
        _("Under twelve months"),
        _("An infant’s food is for a paediatric clinician. Infants follow no protocol here."),
    ),
    "under-18": (
        _("Under eighteen"),
        _(
            "Restriction can cost growth. A parent or guardian and a paediatric dietitian or doctor have to agree."
        ),
    ),
    "over-75": (
        _("Seventy-five or older"),
        _("Restriction can cost strength and weight. A dietitian or doctor has to agree."),
    ),
    "anaphylaxis": (
        _("A severe reaction in the past"),
        _(
            "The food stays out. No food of that kind is tried at home; an allergist decides. In a new reaction: "
            "adrenaline pen if prescribed, then %(number)s at once."
        ),
    ),
    "immediate-reaction": (
        _("Reactions within two hours of a food"),
        _(
            "This may be an allergy of the fast kind. An allergist decides whether and where the food is tried again."
        ),
    ),
    "delayed-severe-reaction": (
        _("Heavy vomiting hours after a food"),
        _("The food stays out, and nothing like it is tried at home, until a specialist agrees."),
    ),
    "asthma": (
        _("Asthma"),
        _(
            "Asthma makes a reaction to food more dangerous. Trying foods again waits while the asthma is not settled."
        ),
    ),
    "eating-disorder-now": (
        _("An eating disorder now"),
        _("Leaving foods out can feed it. The team that treats it comes first; no stage may start."),
    ),
    "eating-disorder-past": (
        _("An eating disorder in the past"),
        _("Rules about food can bring it back. A clinician who knows the person has to agree."),
    ),
    "eating-worry": (
        _("Worry about eating"),
        _(
            "This is a reason to ask, not a diagnosis. A clinician talks with the person before foods are left out."
        ),
    ),
    "eating-screen": (
        _("Eating screen positive: %(total)s of 5"),
        _(
            "A positive screen is not a diagnosis: most people who screen positive have no eating disorder. Ask first."
        ),
    ),
    "few-foods": (
        _("Very few foods eaten"),
        _(
            "Taking more away could do harm. A dietitian or doctor looks at it first; the reason may be the gut itself."
        ),
    ),
    "pregnant": (
        _("Pregnant"),
        _("No elimination stage in pregnancy. Food is planned with the maternity team."),
    ),
    "breastfeeding": (
        _("Breastfeeding"),
        _(
            "No elimination stage while breastfeeding. Food is planned with a dietitian or the maternity team."
        ),
    ),
    "glucose-lowering": (
        _("Medicine that can make blood sugar fall"),
        _(
            "Less starch can bring blood sugar too low. The prescriber has to agree and plans the doses; "
            "the medicine goes on as prescribed."
        ),
    ),
    "sglt2": (
        _("SGLT2 medicine"),
        _(
            "With little starch the blood can turn acid, even at normal sugar. The prescriber has to agree; "
            "the medicine goes on as prescribed."
        ),
    ),
    "warfarin": (
        _("Warfarin: keep greens steady"),
        _(
            "Tell the clinic that checks the INR before the first stage and at each change of stage. "
            "Keep the amount of leafy greens even; do not drop or pile them."
        ),
    ),
    "steroids": (
        _("Long-term steroids"),
        _(
            "Vomiting or diarrhoea is an emergency on long-term steroids: call %(number)s. They are never left out; "
            "tell the prescriber about the plan."
        ),
    ),
    "thyroxine": (
        _("Thyroid tablets"),
        _(
            "Fibre, soy, coffee, calcium and iron change how much is taken up. Keep the tablet away from food as "
            "prescribed, and tell the prescriber: a blood test after a change of diet is usual."
        ),
    ),
    "new-medicine": (
        _("A new or changed medicine"),
        _("For two weeks nobody can tell what a reaction comes from. Begin, or try a food, after that."),
    ),
    "kidney-disease": (
        _("Kidney disease"),
        _(
            "Protein, potassium and salt are set by the kidney clinic. A renal dietitian has to agree to the plan."
        ),
    ),
    "gut-surgery": (
        _("An operation on the stomach or bowel"),
        _("Texture and portions follow the surgical team’s plan. They have to agree."),
    ),
    "weak-immunity": (
        _("Weak immune system"),
        _(
            "Pasteurised dairy only, everything cooked through, and the clinician’s word before any live ferment."
        ),
    ),
}

STRENGTH_MEANS = {
    Strength.TELL: _("Say it to the client, and to the clinician named. It holds nothing up."),
    Strength.CLINICIAN_FIRST: _(
        "No week, no packet and no next stage until a licensed clinician’s agreement is recorded."
    ),
    Strength.DO_NOT_START: _(
        "No week, no packet and no stage while this is so. No agreement lifts it; a new screening can."
    ),
}


def caution_words(rule: str, facts: Mapping[str, str | int], emergency_number: str) -> CautionWords:
    """A caution in the reader's language. Raises KeyError for a rule that has no words."""
    title, meaning = _CAUTION[rule]
    filled = {**facts, "number": emergency_number}
    return CautionWords(str(title) % filled, str(meaning) % filled)
