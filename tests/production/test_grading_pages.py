"""Frames to grade, the count on a tablet, the frame's page and a lot's way back."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Lot
from production.forms.grading import field_of
from production.models import Frame, Grading
from tests.factories import make_candle, make_lot
from tests.factories.floor import make_frame, make_reading, make_run, make_want
from tests.orders.grading import grade as grade_off
from tests.orders.grading import hang, held, wanted

pytestmark = pytest.mark.django_db
ABSURD = ["-1", "1000000000", "9" * 40, "a dozen", "2.5", "\x00"]


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


@pytest.fixture
def frame():
    return make_frame(state="off", dips=34, code="F7")


def page(name, thing):
    return reverse(name, args=[thing.pk])


def counted(firsts="44", remelt="1", **fields):
    """What the form sends; faults by their names, with _ for a blank."""
    faults = {
        field_of(name.replace("_", " ")): value for name, value in fields.pop("faults", {"bubbles": "3"}).items()
    }
    return {"version": "1", "firsts": firsts, "remelt": remelt, **faults, **fields}


def text(response) -> str:
    return response.content.decode()


def headline(response) -> str:
    return re.search(r"<h1>(.*?)</h1>", text(response), re.DOTALL).group(1).strip()


def test_a_frame_is_graded_and_its_page_says_what_to_write_on_the_boxes(dipper, frame):
    response = dipper.post(page("grade", frame), counted(own_1="cat hair", own_pairs_1="2", firsts="42"), follow=True)
    assert response.redirect_chain == [(frame.get_absolute_url(), 302)]
    codes = list(Lot.objects.order_by("pk").values_list("code", flat=True))
    assert f"F7 is graded. Write {codes[0]} on 42 firsts, {codes[1]} on 3 bubbles, {codes[2]} on 2 cat hair." in text(
        response
    )
    assert headline(response).startswith("F7 gave 42 firsts, 5 seconds (3 bubbles, 2 cat hair), 1 for remelt")
    assert Grading.objects.get().person == dipper.person


def test_sent_twice_it_is_graded_once(dipper, frame):
    for _ in range(2):
        assert dipper.post(page("grade", frame), counted()).status_code == 302
    assert Lot.objects.count() == 2


def test_the_second_of_two_people_is_told_and_keeps_what_was_typed(dipper, client_for, frame):
    dipper.post(page("grade", frame), counted())
    response = client_for("dipper").post(page("grade", frame), counted(firsts="40", remelt="5"))
    assert response.status_code == 422
    assert f"F7 was graded by {dipper.person}" in text(response)
    assert 'value="40"' in text(response)
    assert Grading.objects.get().firsts == 44


def test_the_remainder_is_asked_for_and_given_in_one_press(dipper, frame):
    response = dipper.post(page("grade", frame), counted(firsts="40"))
    assert response.status_code == 422
    assert "44 of 48 pairs are counted: 4 are missing." in text(response)
    assert "44 of 48 counted" in text(response)
    assert re.search(r'name="rest" value="firsts">The 4 left are firsts<', text(response))
    assert re.search(r'name="rest" value="remelt">The 4 left are for remelt<', text(response))
    dipper.post(page("grade", frame), counted(firsts="40", rest="firsts"))
    assert (Grading.objects.get().firsts, Grading.objects.get().remelt) == (44, 1)


def test_a_rest_nobody_knows_is_no_rest(dipper, frame):
    assert dipper.post(page("grade", frame), counted(firsts="40", rest="seconds")).status_code == 422


def test_too_many_are_refused_and_no_rest_is_offered(dipper, frame):
    response = dipper.post(page("grade", frame), counted(firsts="46"))
    assert response.status_code == 422
    assert "50 pairs are counted, but 48 were hung: 2 too many." in text(response)
    assert 'name="rest"' not in text(response)
    assert not Lot.objects.exists()


@pytest.mark.parametrize("pairs", ABSURD)
@pytest.mark.parametrize("field", ["firsts", "remelt", field_of("bubbles"), "own_pairs_1"])
def test_absurd_pairs_are_refused_beside_their_field(dipper, frame, field, pairs):
    response = dipper.post(page("grade", frame), {**counted(), "own_1": "cat hair", "own_pairs_1": "1", field: pairs})
    assert response.status_code == 422
    assert response.context["form"][field].errors
    assert "cat hair" in text(response)
    assert not Grading.objects.exists()


@pytest.mark.parametrize("version", ["", "0", "x", 2**31, 77])
def test_without_a_right_version_nothing_is_graded(dipper, frame, version):
    assert dipper.post(page("grade", frame), counted(version=version)).status_code == 422
    assert not Grading.objects.exists()


@pytest.mark.parametrize(
    ("fields", "at"),
    [
        ({"own_1": "cat hair"}, "own_pairs_1"),
        ({"own_pairs_1": "2"}, "own_1"),
        ({"own_1": "x" * 41, "own_pairs_1": "2"}, "own_1"),
        ({"own_1": "a\x00b", "own_pairs_1": "2"}, "own_1"),
    ],
)
def test_own_faults_take_a_word_and_pairs(dipper, frame, fields, at):
    response = dipper.post(page("grade", frame), counted(**fields))
    assert response.status_code == 422
    assert response.context["form"][at].errors


def test_before_it_is_hard_it_asks_for_a_reason(dipper):
    frame = make_frame(state="off", off_at=timezone.now(), hard_at=timezone.now() + timedelta(hours=9))
    assert "is not hard before" in text(dipper.get(page("grade", frame)))
    response = dipper.post(page("grade", frame), counted())
    assert response.context["form"]["early"].errors
    assert dipper.post(page("grade", frame), counted(early="thin")).status_code == 302


@pytest.mark.parametrize("state", ["threaded", "graded"])
def test_a_frame_with_nothing_to_grade_leads_to_its_page(dipper, state):
    frame = make_frame(state=state)
    assert dipper.get(page("grade", frame)).url == frame.get_absolute_url()
    assert dipper.post(page("grade", frame), counted()).status_code == 422


def test_a_wrong_grading_is_put_right(dipper, frame):
    dipper.post(page("grade", frame), counted())
    assert 'value="44"' in text(dipper.get(page("grading_correct", frame)))
    sent = counted(firsts="43", remelt="2", reason="one was split")
    assert "says now: 43 firsts" in text(dipper.post(page("grading_correct", frame), sent, follow=True))
    assert dipper.post(page("grading_correct", frame), sent).status_code == 302
    stale = dipper.post(page("grading_correct", frame), counted(firsts="42", remelt="3", reason="two"))
    assert stale.status_code == 422
    assert "Somebody changed this" in text(stale)
    assert Lot.objects.get(grade="firsts").on_hand == 43


def test_pairs_promised_are_refused_at_their_field(dipper):
    candle = make_candle()
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    grade_off(frame, 40, 5)
    response = dipper.post(page("grading_correct", frame), counted("38", "5", faults={"bubbles": "5"}, reason="lost"))
    assert response.status_code == 422
    assert "at most 0 can go" in str(response.context["form"]["firsts"].errors)
    assert held(order) == [40]


@pytest.mark.parametrize("name", ["grade", "grading_correct"])
@pytest.mark.parametrize("role", ["packer", "bookkeeper"])
def test_grading_is_the_dippers(client_for, frame, name, role):
    grade_off(frame, 40)
    assert client_for(role).get(page(name, frame)).status_code == 403
    assert client_for(role).post(page(name, frame), counted()).status_code == 403


@pytest.mark.parametrize("name", ["grade", "grading_correct", "frame", "lot_origin"])
def test_what_is_not_there_is_not_found(dipper, name):
    assert dipper.get(reverse(name, args=[999])).status_code == 404


def test_the_list_says_what_is_ready_and_what_hardens(dipper, frame):
    make_frame(state="off", off_at=timezone.now(), hard_at=timezone.now() + timedelta(hours=20))
    response = dipper.get(reverse("frames_to_grade"))
    assert headline(response) == "1 frame is hard and ready to grade, 48 pairs; 1 more hardens."
    assert f'href="{page("grade", frame)}">Grade F7<' in text(response)


def test_nothing_to_grade_is_said(dipper):
    assert headline(dipper.get(reverse("frames_to_grade"))) == "No frame waits to be graded."
    make_frame(state="off", off_at=timezone.now(), hard_at=timezone.now() + timedelta(hours=20))
    said = headline(dipper.get(reverse("frames_to_grade")))
    assert said == "1 frame hardens with 48 pairs; none is ready to grade yet."


def test_the_list_asks_as_often_for_one_frame_as_for_thirty(dipper, frame, django_assert_max_num_queries):
    run = make_run(frames=[frame])

    def queries():
        with django_assert_max_num_queries(40) as asked:
            assert dipper.get(reverse("frames_to_grade")).status_code == 200
        return len(asked)

    few = queries()
    for _ in range(30):
        run.frames.create(frame=make_frame(state="off"), dips=3)
    assert queries() == few


@pytest.mark.parametrize("state", ["threaded", "hanging", "off", "scrapped"])
def test_a_frames_page_says_where_it_is(dipper, state):
    want = make_want(for_whom="Ossel Gifts, Orrin Bay")
    frame = make_frame(want.candle, state=state, wants={want: 30} if state != "scrapped" else {}, dips=12, code="F9")
    response = dipper.get(frame.get_absolute_url())
    words = {"threaded": "threaded", "hanging": "position 1", "off": "ready to grade", "scrapped": "was scrapped"}
    assert words[state] in headline(response)
    assert ("Ossel Gifts" in text(response)) == (state != "scrapped")


def test_a_frames_page_asks_as_often_for_one_reading_as_for_thirty(dipper, frame, django_assert_max_num_queries):
    run = make_run(frames=[frame])
    make_reading(frame, 12, run=run)

    def queries():
        with django_assert_max_num_queries(60) as asked:
            assert dipper.get(frame.get_absolute_url()).status_code == 200
        return len(asked)

    few = queries()
    for dips in range(30):
        make_reading(frame, 12, run=run, dips=dips)
    assert queries() == few


def test_a_lots_page_leads_back_to_frame_run_vat_and_readings(client_for, frame):
    run = make_run(frames=[frame], code="R2401")
    make_reading(frame, "21.8", run=run)
    grading = grade_off(frame, 40, 5)
    packer = client_for("packer")
    for lot in (grading.lot, grading.faults.get().lot):
        assert page("lot_origin", lot) in text(packer.get(lot.get_absolute_url()))
        response = packer.get(page("lot_origin", lot))
        assert headline(response).startswith(f"{lot} came off frame F7, dipped in run R2401 over {run.vat} until ")
        assert "21.8 mm" in text(response)
        assert f'href="{frame.get_absolute_url()}"' in text(response)
    assert packer.get(frame.get_absolute_url()).status_code == 200


def test_a_lot_that_was_counted_in_says_so(client_for):
    lot = make_lot(code="L-1")
    said = headline(client_for("packer").get(page("lot_origin", lot)))
    assert said == "L-1 came off no frame on the book: its pairs were counted in."


def test_a_frame_off_the_book_says_so(client_for, frame):
    lot = grade_off(frame, 40).lot
    assert "dipped off the book until" in headline(client_for("packer").get(page("lot_origin", lot)))
    assert Frame.objects.get().state == "graded"
