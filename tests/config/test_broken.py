"""The page for a fault of our own, and the one for a database that is away."""

import pytest
from django.db import OperationalError
from django.urls import path


def failing(error: Exception):
    def view(request):
        raise error

    view.login_required = False
    return view


urlpatterns = [
    path("away/", failing(OperationalError("server closed the connection unexpectedly"))),
    path("broken/", failing(KeyError("della"))),
]
handler500 = "config.views.broken.broken"


@pytest.mark.urls(__name__)
@pytest.mark.parametrize(
    ("page", "status", "said"),
    [("/away/", 503, "The book cannot be reached just now."), ("/broken/", 500, "Something broke here, on our side.")],
)
def test_a_fault_is_told_as_what_it_is_and_no_more(client, page, status, said):
    client.raise_request_exception = False
    answer = client.get(page)
    assert answer.status_code == status
    assert said in answer.text
    assert "della" not in answer.text
    assert "closed the connection" not in answer.text
    assert ("Retry-After" in answer) == (status == 503)
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_the_house_uses_it():
    from config import urls

    assert urls.handler500 == handler500
