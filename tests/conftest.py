"""What the tests share: one server and one browser for a process; one page, hence one interpreter, for a module."""

import os
from contextlib import contextmanager
from pathlib import Path

import pytest

from scripts import chromium, serve

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def home():
    """The address of the built site: that of the server which the test script started, else one of our own."""
    if address := os.environ.get("SITE_URL"):
        yield address.rstrip("/")
        return
    server = serve.open_server(ROOT / "site")
    serve.in_background(server)
    yield serve.address(server).rstrip("/")
    server.shutdown()


@pytest.fixture(scope="session")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(**chromium.options())
        yield browser
        browser.close()


class Watch:
    """Collects what must not happen on a page: requests to other hosts, script errors, console errors."""

    def __init__(self, context, home: str):
        self.context, self.home, self.trouble = context, home, []
        context.on("request", self._request)

    def _request(self, request):
        if not request.url.startswith((self.home, "data:", "blob:", "file:")):
            self.trouble.append(f"asked another host: {request.url}")

    def page(self):
        page = self.context.new_page()
        page.on("pageerror", lambda error: self.trouble.append(f"script error: {error}"))
        page.on("console", lambda m: m.type == "error" and self.trouble.append(f"console: {m.text}"))
        return page


@contextmanager
def watching(browser, home, **options):
    """A context, with options of its own, that fails on a request to another host, a script error or a policy violation."""
    context = browser.new_context(base_url=home, service_workers="block", **options)
    watch = Watch(context, home)
    try:
        yield watch
    finally:
        context.close()
    assert not watch.trouble


@pytest.fixture(scope="module")
def watched(browser, home):
    """A context that fails its module, see `watching`."""
    with watching(browser, home, viewport={"width": 1280, "height": 900}) as watch:
        yield watch


@pytest.fixture(scope="module")
def page(watched):
    return watched.page()
