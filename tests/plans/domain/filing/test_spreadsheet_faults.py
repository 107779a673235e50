"""What spreadsheets do to a file, kind by kind: harmless things are taken as meant, the rest is named with its line."""

import csv
import io
from collections.abc import Callable
from dataclasses import replace

import pytest

from plans.domain.book import Food
from plans.domain.filing.findings import Findings
from plans.domain.filing.foods import FoodsFile, foods_csv, read_foods
from plans.domain.filing.opening import decoded
from plans.domain.filing.protocols import protocol_csv, read_protocol
from plans.domain.filing.recipes import read_recipes, recipes_csv
from tests.plans.domain.hand_made import food

BOOK = (food("carrot", "soft roots"), food("leek", "alliums"))

FOODS = """\
schema,key,name,group,aisle,families,unit_weights
ladlework/foods/1,beet,Beet,soft roots,vegetables,celery; milk,piece=82; cup=136
,kale,Kale,leafy greens,vegetables,,cup=21
"""
RECIPES = """\
schema,key,title,kind,slots,main,servings,portion,steps,hands_on_min,elapsed_min,fridge_days,freezer_days,quantity,unit,food,form
ladlework/recipes/1,soup,Soup,main,midday; evening,soup,4,400 ml,Boil. | Serve.,10,30,3,90,500,g,carrot,boiled + peeled
,,,,,,,,,,,,,100,g,leek,boiled
,mash,Mash,side,midday,mash,2,150 g,Mash.,10,30,3,0,300,g,carrot,boiled
"""
PROTOCOL = """\
record,schema,key,title,summary,source,aim,least_days,usual_days,food,stage,allowance,forms
protocol,ladlework/protocol/1,small,Small,A small one.,own invention,,,,,,,
stage,,first,First,,,Settle.,5,10,,,,
rule,,,,,,,,,carrot,first,as prepared,boiled + peeled; stewed
rule,,,,,,,,,leek,first,flavour only,
"""


def _foods(text: str):
    return read_foods(text, "table.csv", BOOK)


def _recipes(text: str):
    return read_recipes(text, "table.csv", BOOK)


def _protocol(text: str):
    return read_protocol(text, "table.csv", BOOK)


KINDS: dict[str, tuple[Callable, str]] = {
    "foods": (_foods, FOODS),
    "recipes": (_recipes, RECIPES),
    "protocol": (_protocol, PROTOCOL),
}


def resaved(
    text: str, *, delimiter: str = ",", pad: str = "", blank_rows: bool = False, line_end: str = "\r\n"
) -> str:
    """The same cells as another spreadsheet would save them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator=line_end)
    for row in csv.reader(io.StringIO(text, newline="")):
        writer.writerow([f"{pad}{cell}{pad}" if cell else pad for cell in row])
        if blank_rows:
            writer.writerow([])
            writer.writerow([pad for _ in row])
    return out.getvalue()


FAULTS: dict[str, Callable[[str], str]] = {
    "a byte-order mark": lambda text: f"\ufeff{text}",
    "semicolons": lambda text: resaved(text, delimiter=";"),
    "tabs": lambda text: resaved(text, delimiter="\t"),
    "blank rows": lambda text: resaved(text, blank_rows=True),
    "blank lines before the header": lambda text: f"\n\n{text}",
    "stray spaces": lambda text: resaved(text, pad="  "),
    "spaces that do not break": lambda text: resaved(text, pad="\u00a0"),
    "lines that end as on other machines": lambda text: resaved(text, line_end="\n"),
    "lines that end as on old machines": lambda text: resaved(text, line_end="\r"),
    "empty columns behind": lambda text: "".join(f"{line},,,\n" for line in text.splitlines()),
    "a header in capitals with spaces": lambda text: "\n".join(
        (text.splitlines()[0].upper().replace("_", " "), *text.splitlines()[1:])
    ),
    "all of them": lambda text: "\ufeff" + resaved(text, delimiter=";", pad=" ", blank_rows=True),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("fault", FAULTS)
def test_what_a_spreadsheet_does_changes_nothing(kind: str, fault: str) -> None:
    read, text = KINDS[kind]
    plain = read(text)
    assert plain[1] == ()
    assert read(FAULTS[fault](text)) == plain


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_every_usual_encoding_reads_the_same(kind: str, encoding: str) -> None:
    read, text = KINDS[kind]
    findings = Findings()
    assert read(decoded(text.encode(encoding), findings)) == read(text)
    assert findings.problems() == ()


DUPLICATES = [
    ("foods", FOODS + ",beet,Beet,soft roots,vegetables,,\n", 4, "line 2"),
    (
        "recipes",
        RECIPES + ",soup,Soup,main,midday,soup,4,400 ml,Boil.,10,30,3,90,500,g,carrot,boiled\n",
        5,
        "line 2",
    ),
    ("protocol", PROTOCOL + "rule,,,,,,,,,carrot,first,as prepared,boiled\n", 6, ""),
    ("protocol", PROTOCOL + "stage,,first,First,,,Settle.,5,10,,,,\n", 6, "line 3"),
]


@pytest.mark.parametrize(("kind", "text", "line", "said"), DUPLICATES)
def test_a_row_that_is_there_twice_is_named(kind: str, text: str, line: int, said: str) -> None:
    problems = KINDS[kind][0](text)[1]
    assert any(problem.line == line and said in problem.message for problem in problems), "\n".join(
        map(str, problems)
    )


UNKNOWN = [
    ("foods", "leafy greens,vegetables", "leafy greens,vegetabels", 3, "vegetables"),
    ("foods", "celery; milk", "celery; mlik", 2, "milk"),
    ("foods", "name,group", "nmae,group", 2, "name"),
    ("recipes", "main,midday; evening", "mian,midday; evening", 2, "main"),
    ("recipes", "midday; evening", "midday; evning", 2, "evening"),
    ("recipes", "leek,boiled", "leak,boiled", 3, "leek"),
    ("recipes", "leek,boiled", "leek,boild", 3, "boiled"),
    ("recipes", "500,g,carrot", "500,g,Carrots", 2, "carrot"),
    ("protocol", "carrot,first", "carot,first", 4, "carrot"),
    ("protocol", "carrot,first", "carrot,frist", 4, "first"),
    ("protocol", "as prepared", "as prepard", 4, "as prepared"),
    ("protocol", "; stewed", "; stewd", 4, "stewed"),
    ("protocol", "stage,,first", "stge,,first", 3, "stage"),
]


@pytest.mark.parametrize(("kind", "right", "wrong", "line", "nearest"), UNKNOWN)
def test_an_unknown_word_is_named_with_the_nearest(
    kind: str, right: str, wrong: str, line: int, nearest: str
) -> None:
    read, text = KINDS[kind]
    problems = read(text.replace(right, wrong, 1))[1]
    assert any(problem.line == line and nearest in problem.fix for problem in problems), "\n".join(
        map(str, problems)
    )


RISKY = ("=1+1", "+1", "-1", "@SUM(A1)", "'=1", '=HYPERLINK("http://example.org")')
"""What a spreadsheet would run (OWASP, CSV Injection), and an apostrophe that is meant."""


def cells_of(text: str) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]


@pytest.mark.parametrize("risky", RISKY)
@pytest.mark.parametrize("kind", KINDS)
def test_no_cell_runs_and_all_text_comes_back(kind: str, risky: str) -> None:
    if kind == "foods":
        held = FoodsFile(
            (Food(key="beet", name=risky, group=risky, aisle="vegetables", names=(risky,)),), risky
        )
        written, read = foods_csv(held), _foods
    elif kind == "recipes":
        held, _ = _recipes(RECIPES)
        held = tuple(replace(one, title=risky, steps=(risky, "Serve."), child_note=risky) for one in held)
        written, read = recipes_csv(held), _recipes
    else:
        held = replace(_protocol(PROTOCOL)[0], title=risky, summary=risky, source=risky, caution=risky)
        written, read = protocol_csv(held), _protocol
    assert not [cell for cell in cells_of(written) if cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n")]
    assert read(written) == (held, ())
