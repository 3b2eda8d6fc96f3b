"""Find a Chromium for the browser tests: the system's, else Playwright's own, else Debian's (as root)."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge")
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)


def options():
    """Return the arguments for Playwright's `chromium.launch`, for a Chromium that `ensure` has found."""
    # Containers give shared memory too little room for a page; root is refused a sandbox.
    flags = ["--disable-dev-shm-usage", *(["--no-sandbox"] if is_root() else [])]
    return {"executable_path": os.environ.get("CHROMIUM") or installed(), "args": flags}


def ensure():
    """See to it that `options` names a Chromium that starts.

    Raises:
        SystemExit: there is none and none could be installed; the message says what to do.
    """
    if starts():
        return
    print("No Chromium on this system. Fetching the one that belongs to Playwright …", flush=True)
    if playwright("install", "chromium") and starts():
        return
    if is_root() and shutil.which("apt-get"):
        print("Installing Debian's Chromium …", flush=True)
        apt_get("update")
        # On some relatives of Debian that package is empty; the libraries then serve Playwright's own.
        if (apt_get("install", "chromium") and starts()) or (playwright("install-deps", "chromium") and starts()):
            return
    raise SystemExit(
        "The browser tests need Chromium, and none starts here. Install Chromium or Chrome, or set "
        "CHROMIUM to its path, then start again. On Debian: apt-get install chromium, as root."
    )


def installed():
    """Return the path of the system's Chromium, or None: Playwright then takes its own."""
    found = next(filter(None, map(shutil.which, NAMES)), None)
    return found or next((place for place in PLACES if Path(place).exists()), None)


def starts():
    """Say whether a Chromium starts and shows a page: a path alone may be a stub, or lack its libraries."""
    from playwright.sync_api import Error, sync_playwright

    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(**options())
            browser.new_page().set_content("<p>Here")
            browser.close()
        except Error:
            return False
    return True


def playwright(*words):
    return subprocess.call([sys.executable, "-m", "playwright", *words]) == 0


def apt_get(*words):
    quiet = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    return subprocess.call(["apt-get", words[0], "-qq", "-y", "--no-install-recommends", *words[1:]], env=quiet) == 0


def is_root():
    return hasattr(os, "geteuid") and os.geteuid() == 0
