"""A real Chromium on a live server. Every page is watched: an error in its console fails the test."""

import os
from pathlib import Path

import pytest
from playwright.sync_api import expect

from config.machine import CHROMIUM, find_chromium

FLAGS = [
    # The sandbox needs rights that root and many containers lack; only our own pages are opened.
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# Only breaches are told, and no style sheet is fetched a second time: a quarter of axe's time was the rest.
AXE_OPTIONS = {"runOnly": {"type": "tag", "values": WCAG}, "resultTypes": ["violations"], "preload": False}
HERE = Path(__file__).parent
REFUSED = 422  # a refused form is part of the work, not trouble

expect.set_options(timeout=30_000)
os.environ.setdefault("DJANGO_LIVE_TEST_SERVER_ADDRESS", "127.0.0.1")


def pytest_collection_modifyitems(items):
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser():
    path = find_chromium()
    if path is None:
        pytest.fail(str(CHROMIUM.missing()), pytrace=False)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        # Playwright's synchronous API keeps an event loop running in this thread, and Django refuses to touch the
        # database where it sees one. Nothing here is asynchronous, so the refusal is lifted while the browser runs.
        os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
        chromium = playwright.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield chromium
        chromium.close()
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def trouble() -> list[str]:
    """What went wrong in the page so far. A test that means to provoke an error reads it and clears it."""
    return []


@pytest.fixture
def page(live_server, browser, trouble):
    """A page on the live server (`page.goto("/orders/")`), 1280 px wide, nobody signed in."""
    context = browser.new_context(
        base_url=live_server.url, viewport={"width": 1280, "height": 900}, locale="en-GB", timezone_id="Europe/London"
    )
    # Generous: a machine with two cores may be busy with another worker's browser.
    context.set_default_timeout(30_000)
    page = context.new_page()
    watch(page, trouble)
    yield page
    context.close()
    assert not trouble, "the page was in trouble:\n" + "\n".join(trouble)


def watch(page, trouble: list[str]) -> None:
    def on_console(message):
        # Chromium repeats each refused answer in the console; on_response judges those.
        if message.type == "error" and not message.text.startswith("Failed to load resource"):
            trouble.append(f"console: {message.text}")

    def on_response(response):
        if response.status >= 400 and response.status != REFUSED:
            trouble.append(f"{response.status}: {response.url}")

    def on_failed(request):
        # Aborted is what leaving a page, or a download, does to a request under way.
        if request.failure != "net::ERR_ABORTED":
            trouble.append(f"{request.failure}: {request.url}")

    page.on("console", on_console)
    page.on("response", on_response)
    page.on("requestfailed", on_failed)
    page.on("pageerror", lambda error: trouble.append(f"script: {error}"))


@pytest.fixture
def sign_in(live_server, client_for):
    """`sign_in(page, person)`: the person's session goes in as a cookie, which is quicker than the form."""

    def put_cookie(page, person):
        cookie = client_for(person=person).cookies["sessionid"]
        page.context.add_cookies([{"name": "sessionid", "value": cookie.value, "url": live_server.url}])

    return put_cookie


@pytest.fixture
def check_axe():
    """`check_axe(page)`: fails with every breach of WCAG 2.2 AA that axe finds."""
    from axe_playwright_python.sync_playwright import Axe

    def check(page):
        # Run over the debugging protocol, so the page's own policy against inline script stays in force.
        found = Axe().run(page, options=AXE_OPTIONS).response["violations"]
        lines = [
            f"{breach['id']} ({breach['impact']}): {breach['help']}\n    {node['html']}\n    {node['failureSummary']}"
            for breach in found
            for node in breach["nodes"]
        ]
        assert not lines, f"{page.url} breaks WCAG 2.2 AA:\n" + "\n".join(lines)

    return check
