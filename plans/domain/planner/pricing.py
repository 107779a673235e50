"""All offers at the duals of a relaxation at once: which of them could pay.

Most offers never pay, so what the best column of each may cost at most is reckoned for all of them together, in arrays,
and only the few that come below a limit are looked at one by one (``columns.priced``). Every step works element by
element or along a row in order, so that the figures are the same on every machine.
"""

from collections.abc import Collection, Mapping, Sequence

import numpy as np

from plans.domain.planner.columns import Offer, Row
from plans.domain.planner.model import Meal
from plans.domain.planner.setting import PER_HALF

_NONE = -1
"""The place of a dual of nothing: the last, which is always zero."""


class Pricing:
    """The offers of a program in arrays. Rows are known by their place among ``rows``."""

    def __init__(self, offers: Sequence[Offer], rows: Sequence[Row]) -> None:
        self.rows = tuple(rows)
        place = {row: number for number, row in enumerate(rows)}
        plates = [(number, meal, offer) for number, offer in enumerate(offers) for meal in offer.plates]
        self._meals = [meal for _, meal, _ in plates]
        self._plates = _Sums([offer.plates[meal][1] for _, meal, offer in plates], place)
        self._prices = np.array([offer.plates[meal][0] for _, meal, offer in plates], dtype=float)
        self._touches = np.array(
            [place[offer.touches[meal]] if meal in offer.touches else _NONE for _, meal, offer in plates], int
        )
        widest = max((len(offer.plates) for offer in offers), default=0)
        self._shape = len(offers), widest
        places = (number for offer in offers for number in range(len(offer.plates)))
        self._spots = np.array(
            [offer * widest + at for (offer, _, _), at in zip(plates, places, strict=True)], int
        )
        self._uses = _Sums([offer.uses for offer in offers], place)
        self._draws = _Sums([offer.draws for offer in offers], place)
        self._costs = np.array([offer.cost for offer in offers], dtype=float)
        self._size_prices, self._halves = _sizes(offers, widest)
        full = [max(offer.shares.values()) for offer in offers]
        self._offer_of = np.array([number for number, _, _ in plates], int)
        self._below_full = np.array(
            [(full[number] - offer.shares[meal]) / PER_HALF for number, meal, offer in plates]
        )

    def duals(self, known: Mapping[Row, float]) -> np.ndarray:
        """The duals by place; those that are not known are zero, and so is the one of nothing."""
        return np.array([*(known.get(row, 0.0) for row in self.rows), 0.0])

    def least(self, duals: np.ndarray, taken: Collection[Meal]) -> np.ndarray:
        """For each offer, no more than the lowest reduced cost of its columns; endless when it feeds no other meal."""
        half = self._draws.at(duals)
        gains = self._plates.at(duals) - self._prices + duals[self._touches]
        gains -= half[self._offer_of] * self._below_full
        if taken:
            gains[[meal in taken for meal in self._meals]] = -np.inf
        table = np.full(self._shape, -np.inf)
        table.flat[self._spots] = gains
        best = np.cumsum(-np.sort(-table, axis=1), axis=1)
        fixed = self._costs - self._uses.at(duals)
        sizes = (self._size_prices - half[:, None, None] * self._halves).min(axis=2, initial=np.inf)
        return (fixed[:, None] + sizes - best).min(axis=1, initial=np.inf)


class _Sums:
    """Sums of duals by what is used of each row, for many users at once."""

    def __init__(self, users: Sequence[Mapping[Row, int]], place: Mapping[Row, int]) -> None:
        most = max((len(uses) for uses in users), default=0)
        self._places = np.full((most, len(users)), _NONE)
        self._amounts = np.zeros((most, len(users)))
        for number, uses in enumerate(users):
            for at, (row, amount) in enumerate(uses.items()):
                self._places[at, number] = place[row]
                self._amounts[at, number] = amount

    def at(self, duals: np.ndarray) -> np.ndarray:
        """The sum of each user."""
        total = np.zeros(self._places.shape[1])
        for places, amounts in zip(self._places, self._amounts, strict=True):
            total += duals[places] * amounts
        return total


def _sizes(offers: Sequence[Offer], widest: int) -> tuple[np.ndarray, np.ndarray]:
    """The price and the half portions of feeding so many meals, for each share they can add up to; half portions less
    those that meals of the full table would take beyond that share, which are in the gains. A pot of mains feeds no
    more than a main may come."""
    most = max((len(of_count) for offer in offers for of_count in offer.sizes), default=0)
    prices, halves = np.full((len(offers), widest, most), np.inf), np.zeros((len(offers), widest, most))
    for number, offer in enumerate(offers):
        full = max(offer.shares.values())
        only_mains = len(offer.touches) == len(offer.plates)
        for at, of_count in enumerate(offer.sizes[: offer.most_mains] if only_mains else offer.sizes):
            for share, (fed, (price, count)) in enumerate(of_count.items()):
                prices[number, at, share] = price
                halves[number, at, share] = count + (full * (at + 1) - fed) / PER_HALF
    return prices, halves
