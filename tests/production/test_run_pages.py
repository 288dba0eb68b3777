"""Beginning, moving and pacing a run: small pages with one form."""

import re
import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import DipRun, Vat
from tests.factories import make_colour
from tests.factories.floor import make_carousel, make_vat
from tests.production.on_the_floor import make_floor
from tests.production.test_floor_pages import text
from tests.production.test_runs import make_core_and_coat

pytestmark = pytest.mark.django_db


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


def begun(over, **fields):
    return {"tap": str(uuid.uuid4()), "vat": over.pk, "turn_minutes": "2.5", "counting": "clock", **fields}


def test_a_run_is_begun_once(dipper):
    carousel, vat = make_carousel(name="Carousel 2"), make_vat()
    url = reverse("run_begin", args=[carousel.pk])
    assert "over which vat" in text(dipper.get(url))
    sent = begun(vat)
    for _ in range(2):
        assert "is begun" in text(dipper.post(url, sent, follow=True))
    run = DipRun.objects.get()
    assert (run.turn_minutes, run.counting, run.started_by) == (Decimal("2.5"), "clock", dipper.person)
    assert run.clock_from


@pytest.mark.parametrize(
    "fields",
    [
        {"vat": ""},
        {"vat": "999999"},
        {"vat": "\x00"},
        {"turn_minutes": "0"},
        {"turn_minutes": "-1"},
        {"turn_minutes": "1000000000"},
        {"turn_minutes": "soon"},
        {"turn_minutes": ""},
        {"counting": "ear"},
        {"tap": "x"},
    ],
)
def test_a_refused_beginning_keeps_what_was_typed(dipper, fields):
    url = reverse("run_begin", args=[make_carousel().pk])
    response = dipper.post(url, begun(make_vat(), **fields))
    assert response.status_code == 422
    assert "Nothing was changed" in text(response)
    if "turn_minutes" not in fields:
        assert 'value="2.5"' in text(response)
    assert not DipRun.objects.exists()


def test_a_carousel_over_two_vats_is_refused_with_the_reason(dipper):
    floor = make_floor(0, by=dipper.person)
    response = dipper.post(reverse("run_begin", args=[floor.carousel.pk]), begun(make_vat()))
    assert response.status_code == 422
    assert "Carousel 2 is over Ivory vat in run R2601 already" in text(response)
    response = dipper.post(reverse("run_begin", args=[make_carousel().pk]), begun(floor.vat))
    assert "one carousel a vat" in text(response)


def test_a_run_moves_to_another_vat(dipper):
    floor = make_core_and_coat()
    url = reverse("run_move", args=[floor.carousel.pk])
    sent = {"tap": str(uuid.uuid4()), "run": floor.run.pk, "vat": floor.vat.pk}
    response = dipper.post(url, sent)
    assert response.status_code == 422
    assert "wants" in text(response)
    dipper.post(reverse("frame_done", args=[floor.frames[0].pk]), {"tap": str(uuid.uuid4()), "done": "yes"})
    for _ in range(2):
        assert "turns over Ivory vat now" in text(dipper.post(url, sent, follow=True))
    assert DipRun.objects.count() == 3
    assert floor.now(floor.frames[0]).stage == 2


def test_a_run_is_counted_by_the_clock_or_by_tap(dipper):
    floor = make_floor(1, by=dipper.person)
    url = reverse("run_pace", args=[floor.carousel.pk])
    assert 'value="6.0"' in text(dipper.get(url))
    sent = {"tap": str(uuid.uuid4()), "run": floor.run.pk, "turn_minutes": "2", "counting": "clock"}
    for _ in range(2):
        assert "a turn takes 2 minutes, counted by clock" in text(dipper.post(url, sent, follow=True))
    assert floor.now(floor.run).counting == "clock"
    refused = dipper.post(url, {**sent, "tap": str(uuid.uuid4()), "turn_minutes": "0"})
    assert refused.status_code == 422


@pytest.mark.parametrize("name", ["run_move", "run_pace", "hang", "set_right"])
def test_without_a_run_each_page_says_so(dipper, name):
    carousel = make_carousel(name="Carousel 4")
    url = reverse(name, args=[carousel.pk])
    sent = {"tap": str(uuid.uuid4()), "vat": make_vat().pk, "turn_minutes": "4", "counting": "tap"}
    assert dipper.get(url).status_code in (200, 302)
    response = dipper.post(url, sent, follow=True)
    assert "un is on" in text(response) or response.status_code == 422


def test_a_finish_in_a_vat_that_is_too_cold_is_cautioned(dipper):
    floor = make_floor(1, by=dipper.person)
    dipper.post(reverse("frame_stage", args=[floor.frames[0].pk]), {"tap": str(uuid.uuid4())})
    html = text(dipper.get(floor.carousel.get_absolute_url()))
    assert "F7 is in its finish: Ivory vat is set to 70 C and the recipe says 82. Heat it first." in html


def test_the_level_is_told_as_a_ruler_shows_it(dipper):
    floor = make_floor(1, by=dipper.person)
    Vat.objects.update(level_mm="39.32")
    html = text(dipper.get(floor.carousel.get_absolute_url()))
    assert "is set to 70 C and stands 39 mm below the rim." in html


def test_the_next_stage_over_another_colour_is_refused(dipper):
    floor = make_floor(1, by=dipper.person)
    stage = floor.candle.recipe.stages.get(place=2)
    stage.colour = make_colour(name="Moss")
    stage.save()
    response = dipper.post(reverse("frame_stage", args=[floor.frames[0].pk]), {"tap": str(uuid.uuid4())}, follow=True)
    assert "in moss" in text(response)
    assert floor.now(floor.frames[0]).stage == 1


def test_a_heavy_frame_is_cautioned_before_it_is_lifted(dipper):
    floor = make_floor(1, by=dipper.person)
    panel = text(dipper.get(floor.carousel.get_absolute_url())).split('class="panel"')[1].split("growth")[0]
    assert "kg" not in re.sub(r"<[^>]*>", "", panel), "told already, or the seal of a form was read for words"
    kind = floor.frames[0].kind
    kind.iron_g = 24_000
    kind.save()
    assert "24.1 kg" in text(dipper.get(floor.carousel.get_absolute_url()))
