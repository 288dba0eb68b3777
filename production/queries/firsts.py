"""How many pairs of a candle come out as firsts: the recipe's expectation, and every frame graded since."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import F

from production.chances import Rate, expected_firsts, fit_firsts
from production.models import Grading, Recipe
from production.queries.figures import confidence

# Of a candle without a recipe: what a recipe says unless somebody says otherwise.
GOOD, OF = Recipe._meta.get_field("firsts_good").default, Recipe._meta.get_field("firsts_of").default
MOST_FRAMES = 200  # of one candle: what was graded before those tells little of how it is dipped now


def firsts_rates(candles: Iterable[int]) -> dict[int, Rate]:
    """The share of firsts by candle. Two queries."""
    keys = list(candles)
    recipes = Recipe.objects.filter(candle__in=keys).values_list("candle", "firsts_good", "firsts_of")
    told = {candle: (good, of) for candle, good, of in recipes}
    graded = defaultdict(list)
    rows = Grading.objects.filter(frame__candle__in=keys).order_by("-at", "-pk")
    pairs = F("firsts") + F("seconds") + F("remelt")
    for candle, firsts, hung in rows.annotate(pairs=pairs).values_list("frame__candle", "firsts", "pairs"):
        if len(graded[candle]) < MOST_FRAMES:
            graded[candle].append((firsts, hung))
    return {key: fit_firsts(graded[key], *told.get(key, (GOOD, OF))) for key in keys}


def firsts_expected(candle: int, pairs: int) -> int:
    """Firsts that so many pairs of the candle, hung on one frame, give as surely as the workshop wants it."""
    rate = firsts_rates([candle])[candle]
    return expected_firsts(pairs, rate.good, rate.of, confidence())
