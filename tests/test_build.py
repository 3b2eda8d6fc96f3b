"""A mistake in a page stops the build and names the page: tried on a copy of the site with the mistake in it."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    """A copy of the sources whose pages can be spoilt; what was fetched and compiled is borrowed."""
    folder = tmp_path_factory.mktemp("site")
    for name in ("calcs", "docs", "scripts"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules"))
    shutil.copy(ROOT / "mkdocs.yml", folder)
    (folder / "scripts/vendor/node_modules").symlink_to(ROOT / "scripts/vendor/node_modules")
    shutil.copytree(ROOT / "build", folder / "build")
    return folder


MISTAKES = {
    "wrong calculator": ("calculator: purge", "calculator: cheese", "cheese"),
    "leftover mark": ("## Why", "[[nonsense]]\n\n## Why", "nonsense"),
    "missing front matter": ("owner: Process engineer\n", "", "owner"),
    "unknown source": ("[@crowl-louvar]", "[@nobody]", "nobody"),
    "dead link": ("(../safety/room-oxygen.md)", "(../safety/no-such-page.md)", "no-such-page"),
    "dead anchor": ("(../safety/room-oxygen.md)", "(../safety/room-oxygen.md#nowhere)", "nowhere"),
    "issued and not recorded": ("status: for review", "status: issued", "not in the ledger"),
    "signal word": ("highest_signal_word: WARNING", "highest_signal_word: NOTICE", "highest_signal_word"),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_stops_the_build_and_names_the_page(copy, mistake):
    old, new, named = MISTAKES[mistake]
    page = copy / "docs/atmosphere/purge.md"
    good = page.read_text(encoding="utf-8")
    assert old in good
    page.write_text(good.replace(old, new, 1), encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "mkdocs", "build", "--strict", "--site-dir", str(copy / "out")],
            cwd=copy,
            capture_output=True,
            text=True,
            env=os.environ | {"NO_MKDOCS_2_WARNING": "1", "SITE_URL": "http://127.0.0.1:8000/"},
        )
    finally:
        page.write_text(good, encoding="utf-8")

    said = done.stdout + done.stderr
    assert done.returncode != 0
    assert "atmosphere/purge.md" in said and named in said, said
