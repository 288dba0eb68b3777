import pytest

from config.models import Person
from config.roles import ROLES
from inventory.domain.versions import fingerprint
from inventory.models import Record
from tests.factories import make_person
from tests.factories.house import PASSWORD

pytestmark = pytest.mark.django_db
PEOPLE, NEW = "/set-up/people/", "/set-up/people/new/"
FAY = {"full_name": "Fay Hallow", "username": "fay", "roles": ["dipper", "packer"], "password": "", "pin": ""}


def page(person, action=""):
    return f"{PEOPLE}{person.pk}/{action}"


def seen(person):
    return fingerprint(person, ("full_name", *ROLES))


@pytest.fixture
def owner(client_for):
    return client_for("owner")


PAGES = [PEOPLE, NEW, "{}"]
ACTIONS = ["password/", "pin/", "lift-lock/", "leaves/", "returns/"]


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize(("role", "status"), [(role, 200 if role == "owner" else 403) for role in ROLES])
def test_only_owners_see_the_people_pages(client_for, address, role, status):
    address = page(make_person("dipper")) if address == "{}" else address
    assert client_for(role).get(address).status_code == status


@pytest.mark.parametrize("address", PAGES)
def test_strangers_are_asked_to_sign_in(client, address):
    address = page(make_person("dipper")) if address == "{}" else address
    assert client.get(address).url == f"/sign-in/?next={address}"


@pytest.mark.parametrize("action", ACTIONS)
def test_actions_take_a_post_from_an_owner_only(client_for, owner, action):
    person = make_person("dipper")
    assert owner.get(page(person, action)).status_code == 405
    for role in ROLES[1:]:
        assert client_for(role).post(page(person, action)).status_code == 403
    assert owner.post(page(person, action)).status_code in (302, 422)
    assert owner.post(f"{PEOPLE}999999/{action}").status_code == 404


def test_unknown_people_are_not_found(owner):
    for pk in ("999999", "0", "9" * 30, "x"):
        assert owner.get(f"{PEOPLE}{pk}/").status_code == 404


def test_roles_combine_freely(owner, client_for):
    response = owner.post(NEW, {**FAY, "roles": ["packer", "bookkeeper"], "password": "tallow-lane-22"})
    fay = Person.objects.get(username="fay")
    assert response.url == page(fay)
    assert fay.roles == {"packer", "bookkeeper"}
    rail = [place["label"] for place in client_for(person=fay).get("/you/").context["rail"]]
    assert rail == ["Today", "Order book", "Stockroom", "Seconds shelf", "Packing bench", "Ledger", "Shops"]
    assert Record.objects.get(subject="person", subject_id=fay.pk).what == "Joined as packer and bookkeeper"


def test_somebody_without_a_password_comes_in_by_pin_only(owner, client):
    owner.post(NEW, {**FAY, "pin": "7391"})
    fay = Person.objects.get(username="fay")
    assert not fay.has_usable_password()
    assert fay.check_pin("7391")
    assert fay.pin != "7391"
    assert "by PIN on a shared device only" in owner.get(page(fay)).content.decode()
    assert client.post("/sign-in/", {"username": "fay", "password": ""}).status_code == 422


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("full_name", ""),
        ("full_name", "x" * 81),
        ("full_name", "a\0b"),
        ("username", ""),
        ("username", "x" * 41),
        ("username", "fay hallow"),
        ("username", "-fay"),
        ("username", "fäy"),
        ("username", "taken"),
        ("username", "TAKEN"),
        ("roles", []),
        ("roles", ["king"]),
        ("roles", ["owner"]),
        ("password", "short"),
        ("password", "fayhallow1"),
        ("password", "1234567890987"),
        ("password", "x" * 129),
        ("pin", "123"),
        ("pin", "123456789"),
        ("pin", "12a4"),
        ("pin", "0000"),
        ("pin", "1234"),
        ("pin", "9876"),
        ("pin", "２５８０"),
    ],
)
def test_bad_input_is_refused_at_its_field_and_nothing_is_written(owner, field, value):
    make_person("dipper", username="taken")
    before = Person.objects.count()
    response = owner.post(NEW, {**FAY, field: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    kept = FAY["full_name"] if field != "full_name" else value
    assert response.context["form"]["full_name"].value() == kept
    assert Person.objects.count() == before


def test_sent_twice_makes_one_person(owner):
    owner.post(NEW, {**FAY, "pin": "7391"})
    again = owner.post(NEW, {**FAY, "pin": "7391"})
    assert again.status_code == 422
    assert Person.objects.filter(username="fay").count() == 1


def test_name_and_roles_change_and_are_on_record(owner):
    fay = make_person("dipper", full_name="Fay Hallow")
    data = {"full_name": "Fay Marsh", "roles": ["dipper", "bookkeeper"], "seen": seen(fay)}
    assert owner.post(page(fay), data).status_code == 302
    fay.refresh_from_db()
    assert (fay.full_name, fay.roles) == ("Fay Marsh", {"dipper", "bookkeeper"})
    told = Record.objects.get(subject="person", subject_id=fay.pk)
    assert told.what == "Name Fay Hallow became Fay Marsh; Works as dipper and bookkeeper, before as dipper"
    assert told.person == owner.person
    assert "Name Fay Hallow became Fay Marsh" in owner.get(page(fay)).content.decode()


def test_the_second_to_save_is_told_and_loses_nothing(owner, client_for):
    fay = make_person("dipper", full_name="Fay Hallow")
    first_seen = seen(fay)
    client_for("owner").post(page(fay), {"full_name": "Fay Marsh", "roles": ["dipper"], "seen": first_seen})
    second = {"full_name": "Fay Hallow", "roles": ["packer"], "seen": first_seen}
    told = owner.post(page(fay), second)
    assert told.status_code == 422
    assert "Somebody changed this while you were typing" in told.content.decode()
    assert "Written down meanwhile: Fay Marsh, dipper" in told.content.decode()
    assert told.context["form"]["roles"].value() == ["packer"]
    assert owner.post(page(fay), {**second, "seen": told.context["form"]["seen"].value()}).status_code == 302
    fay.refresh_from_db()
    assert (fay.full_name, fay.roles) == ("Fay Hallow", {"packer"})


def test_the_last_owner_keeps_the_role_and_the_place(owner):
    make_person("owner", is_active=False)
    ann = owner.person
    refused = owner.post(page(ann), {"full_name": ann.full_name, "roles": ["packer"], "seen": seen(ann)})
    assert refused.status_code == 422
    assert "needs an owner" in refused.content.decode()
    gone = owner.post(page(ann, "leaves/"))
    assert gone.status_code == 422
    assert "needs an owner" in gone.content.decode()
    ann.refresh_from_db()
    assert ann.owner
    assert ann.is_active


def test_one_of_two_owners_may_go(owner):
    eve = make_person("owner")
    assert owner.post(page(eve, "leaves/")).status_code == 302
    eve.refresh_from_db()
    assert not eve.is_active
    assert "has left" in owner.get(page(eve)).content.decode()


def test_leaving_and_coming_back_twice_does_no_harm(owner):
    fay = make_person("dipper")
    for action in ("leaves/", "leaves/", "returns/", "returns/"):
        assert owner.post(page(fay, action)).status_code == 302
    fay.refresh_from_db()
    assert fay.is_active
    assert Record.objects.filter(subject="person", subject_id=fay.pk).count() == 2


def test_an_owner_without_a_password_is_refused(owner):
    fay = Person.objects.create_person("fay", None, full_name="Fay Hallow", dipper=True)
    refused = owner.post(page(fay), {"full_name": "Fay Hallow", "roles": ["owner"], "seen": seen(fay)})
    assert refused.status_code == 422
    assert "An owner needs a password" in refused.content.decode()


def test_the_owner_sets_a_password_and_it_ends_old_sessions(owner, client_for):
    fay = make_person("dipper")
    there = client_for(person=fay)
    new = {"password": "tallow-lane-22", "password_again": "tallow-lane-22"}
    assert owner.post(page(fay, "password/"), new).status_code == 302
    fay.refresh_from_db()
    assert fay.check_password("tallow-lane-22")
    assert there.get("/you/").status_code == 302
    assert Record.objects.get(subject="person", subject_id=fay.pk).what == "Password set"


@pytest.mark.parametrize(
    "new", [("short", "short"), ("tallow-lane-22", "tallow-lane-23"), ("", ""), ("x" * 129, "x" * 129)]
)
def test_a_bad_password_is_refused_on_the_persons_page(owner, new):
    fay = make_person("dipper")
    refused = owner.post(page(fay, "password/"), {"password": new[0], "password_again": new[1]})
    assert refused.status_code == 422
    assert refused.context["password_form"].errors
    fay.refresh_from_db()
    assert fay.check_password(PASSWORD)


def test_pin_set_and_taken_away(owner):
    fay = make_person("dipper")
    owner.post(page(fay, "pin/"), {"pin": "7391"})
    fay.refresh_from_db()
    assert fay.check_pin("7391")
    assert owner.post(page(fay, "pin/"), {"pin": "1111"}).status_code == 422
    owner.post(page(fay, "pin/"), {"pin": ""})
    fay.refresh_from_db()
    assert not fay.check_pin("7391")
    assert not fay.check_pin("")


def test_the_list_asks_the_same_of_one_and_of_thirty(owner, django_assert_num_queries):
    owner.get(PEOPLE)
    with django_assert_num_queries(4) as few:
        owner.get(PEOPLE)
    for _ in range(30):
        make_person("dipper")
    with django_assert_num_queries(len(few)):
        assert owner.get(PEOPLE).status_code == 200
