"""Wants: kept up to date by whoever asks, dropped when nobody needs them."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from production.domain.wants import drop_want, keep_want
from production.models import Want
from tests.factories import make_candle

pytestmark = pytest.mark.django_db


def said(candle, **changed) -> dict:
    values = {
        "candle": candle,
        "pairs": 24,
        "wanted_by": date(2026, 12, 4),
        "for_whom": "Ossel Gifts, Carrick",
        "rank": 3,
        "group": "order 2001",
        "all_or_nothing": False,
    }
    return {**values, **changed}


def test_a_want_is_made_and_kept():
    candle = make_candle()
    want = keep_want(want=None, **said(candle))
    same = keep_want(want=want, **said(candle, pairs=12, all_or_nothing=True))
    assert same.pk == want.pk
    assert list(Want.objects.values_list("pairs", "all_or_nothing", "rank")) == [(12, True, 3)]


def test_nothing_new_writes_nothing(django_assert_num_queries):
    candle = make_candle()
    want = keep_want(want=None, **said(candle))
    with django_assert_num_queries(0):
        keep_want(want=want, **said(candle))


def test_a_long_name_is_cut_to_fit():
    assert len(keep_want(want=None, **said(make_candle(), for_whom="x" * 142)).for_whom) == 120


def test_a_want_is_for_at_least_a_pair():
    candle = make_candle()
    with pytest.raises(ValidationError):
        Want(made_at=timezone.now(), **said(candle, pairs=0)).full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        keep_want(want=None, **said(candle, pairs=0))


def test_a_want_is_dropped():
    drop_want(keep_want(want=None, **said(make_candle())))
    assert not Want.objects.exists()
