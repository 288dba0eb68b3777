import pytest
from django.core import mail
from django.urls import reverse

from orders.domain.post import write_letter
from orders.models import Letter
from tests.factories import make_person, make_shop, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def letter():
    make_workshop()
    return write_letter(
        key="k1", kind="reminder", shop=make_shop(name="The Lamp Room"), to="a@lamproom.example",
        subject="Reminder of today", body="Please pay.\n\nKind regards", by=make_person("bookkeeper"),
    )  # fmt: skip


def failed(letter):
    Letter.objects.filter(pk=letter.pk).update(
        state="failed", tries=1, error="The mail server did not answer in time."
    )


def test_the_letters_say_where_they_go_and_how_they_stand(client_for, letter):
    client = client_for("bookkeeper")
    page = client.get(reverse("letters")).content.decode()
    assert "1 letter written, and none waits for you." in page
    assert "No mail server is named, so nothing leaves this machine" in page
    failed(letter)
    page = client.get(reverse("letters")).content.decode()
    assert "1 letter was not sent: look at each, then send it again or drop it." in page
    assert "did not answer in time" in page
    assert "Please pay." in client.get(letter.get_absolute_url()).content.decode()


def test_a_failed_letter_stands_on_today_for_those_who_may_act(client_for, letter):
    failed(letter)
    assert "1 letter was not sent" in client_for("bookkeeper").get(reverse("today")).content.decode()
    for role in ("packer", "dipper"):
        assert "letter was not sent" not in client_for(role).get(reverse("today")).content.decode()
    Letter.objects.update(kind="order acknowledgement")
    assert "1 letter was not sent" in client_for("packer").get(reverse("today")).content.decode()


def test_it_is_sent_again_on_a_press_and_once(client_for, letter, django_capture_on_commit_callbacks):
    failed(letter)
    client, address = client_for("bookkeeper"), reverse("letter_again", args=[letter.pk])
    with django_capture_on_commit_callbacks(execute=True):
        client.post(address, {"tries": "1"})
        client.post(address, {"tries": "1"})
    assert Letter.objects.get().state == "sent"
    assert len(mail.outbox) == 1
    assert "put into the folder" in client.get(letter.get_absolute_url()).content.decode()


def test_it_is_dropped(client_for, letter):
    failed(letter)
    client = client_for("bookkeeper")
    client.post(reverse("letter_drop", args=[letter.pk]), {"tries": "1"})
    assert Letter.objects.get().state == "dropped"
    again = client.post(reverse("letter_again", args=[letter.pk]), {"tries": "1"}, follow=True)
    assert "Not sent again: the letter is dropped by now." in again.content.decode()


@pytest.mark.parametrize("tries", ["", "x", "-1", "99999999", "\x00"])
def test_odd_input_changes_nothing(client_for, letter, tries):
    failed(letter)
    for name in ("letter_again", "letter_drop"):
        assert client_for("bookkeeper").post(reverse(name, args=[letter.pk]), {"tries": tries}).status_code == 302
    assert Letter.objects.get().state == "failed"


def test_letters_about_money_are_not_the_packers(client_for, letter):
    failed(letter)
    packer = client_for("packer")
    assert "The Lamp Room" not in packer.get(reverse("letters")).content.decode()
    for name in ("letter_again", "letter_drop"):
        assert packer.get(reverse(name, args=[letter.pk])).status_code == 405
        assert packer.post(reverse(name, args=[letter.pk]), {"tries": "1"}).status_code == 404
    assert packer.get(letter.get_absolute_url()).status_code == 404
    assert client_for("dipper").get(reverse("letters")).status_code == 403


def test_the_letters_ask_the_same_with_one_and_with_thirty(client_for, letter, django_assert_max_num_queries):
    client = client_for("bookkeeper")
    for rows in (0, 29):
        for n in range(rows):
            write_letter(
                key=f"n{n}", kind="x", shop=make_shop(), to="a@b.example", subject="s", body="b", by=make_person()
            )
        with django_assert_max_num_queries(8):
            client.get(reverse("letters"))
