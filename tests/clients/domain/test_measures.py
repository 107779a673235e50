"""Figures of published tools, at and around their limits."""

from datetime import date
from decimal import Decimal as D

import pytest

from clients.domain.measures import (
    Risk,
    age_months,
    age_years,
    bmi,
    eating_screen_is_positive,
    growth_falters,
    loss_percent,
    must_risk,
    must_score,
    refeeding_risk_is_high,
)


@pytest.mark.parametrize(
    ("body_mass", "loss", "acutely_ill", "score", "risk"),
    [
        ("20.1", "4.9", False, 0, Risk.LOW),
        ("20.0", "4.9", False, 1, Risk.MEDIUM),
        ("18.5", "5.0", False, 2, Risk.HIGH),
        ("18.4", "0", False, 2, Risk.HIGH),
        ("25", "10.1", False, 2, Risk.HIGH),
        ("25", "0", True, 2, Risk.HIGH),
    ],
)
def test_malnutrition_screen(body_mass: str, loss: str, acutely_ill: bool, score: int, risk: Risk):
    """BAPEN, Malnutrition Universal Screening Tool (2003), as summarised by the Royal College of Nursing."""
    total = must_score(D(body_mass), D(loss), acutely_ill=acutely_ill)
    assert (total, must_risk(total)) == (score, risk)


def test_malnutrition_screen_with_unknown_figures_gives_the_least_total():
    assert must_score(None, None) == 0
    assert must_score(None, D("10.1"), acutely_ill=True) == 4
    assert must_risk(6) is Risk.HIGH


@pytest.mark.parametrize(("before", "now", "percent"), [("80", "76", "5.0"), ("70", "62.9", "10.142857")])
def test_weight_loss_in_percent(before: str, now: str, percent: str):
    """(before - now) / before * 100."""
    assert abs(loss_percent(D(before), D(now)) - D(percent)) < D("0.0001")


def test_body_mass_index():
    """WHO: kilograms by the square of metres; 70 kg at 1.75 m is 22.86."""
    assert round(bmi(D(70), D(175)), 2) == D("22.86")


@pytest.mark.parametrize(
    ("facts", "high"),
    [
        ({"bmi": D("15.9")}, True),
        ({"bmi": D("16.0")}, False),
        ({"bmi": D("18.0"), "little_intake_days": 6}, True),
        ({"bmi": D("18.5"), "loss_percent": D("10.0"), "little_intake_days": 5}, False),
        ({"loss_percent": D("15.1")}, True),
        ({"low_salts": True}, True),
        ({"loss_percent": D(11), "alcohol_or_medicines": True}, True),
        ({"little_intake_days": 11}, True),
        ({}, False),
    ],
)
def test_refeeding_risk(facts: dict, high: bool):
    """NICE CG32 (2006), criteria for people at high risk of refeeding problems."""
    assert refeeding_risk_is_high(**facts) is high


@pytest.mark.parametrize(("total", "positive"), [(0, False), (1, False), (2, True), (5, True)])
def test_eating_screen(total: int, positive: bool):
    """Morgan, Reid & Lacey, BMJ 1999;319:1467: two or more."""
    assert eating_screen_is_positive(total) is positive


@pytest.mark.parametrize(
    ("birth", "fallen", "now", "falters"),
    [
        (8, 1, None, True),
        (50, 1, None, False),
        (50, 2, None, True),
        (92, 2, None, False),
        (92, 3, None, True),
        (50, 0, 1, True),
        (None, 3, None, False),
        (9, 1, 2, False),
        (None, None, None, False),
    ],
)
def test_faltering_growth(birth: int | None, fallen: int | None, now: int | None, falters: bool):
    """NICE NG75 (2017), thresholds for concern about faltering growth."""
    figures = {"birth_centile": birth, "spaces_fallen": fallen, "current_centile": now}
    as_decimals = {name: None if figure is None else D(figure) for name, figure in figures.items()}
    assert growth_falters(**as_decimals) is falters


@pytest.mark.parametrize(
    ("born", "on", "months"),
    [
        (date(2025, 6, 11), date(2026, 6, 10), 11),
        (date(2025, 6, 10), date(2026, 6, 10), 12),
        (date(2024, 2, 29), date(2025, 2, 28), 11),
        (date(2024, 2, 29), date(2025, 3, 1), 12),
        (date(2026, 1, 31), date(2026, 2, 28), 0),
        (date(2026, 1, 31), date(2026, 3, 1), 1),
    ],
)
def test_ages_count_completed_months(born: date, on: date, months: int):
    assert age_months(born, on) == months
    assert age_years(born, on) == months // 12
