"""A page that says something wrong about itself stops the build and is named."""

import pytest
from mkdocs.exceptions import PluginError

from scripts import front_matter

GOOD = """---
id: VAC-01
title: Pressure
also_called: []
kind: explanation
revision: 1
status: for review
owner: Process engineer
reviewed_on: ""
reviewed_by: ""
review_due: 2028-11-25
highest_signal_word: none
change_note: First version.
effect: new
---
# Pressure
"""


def test_a_good_page_is_read():
    assert front_matter.read_one("a.md", GOOD)["id"] == "VAC-01"


@pytest.mark.parametrize(
    "old, new",
    [
        ("id: VAC-01", "id: VAC-1"),
        ("id: VAC-01", "id: XYZ-01"),
        ("kind: explanation", "kind: essay"),
        ("kind: explanation", "kind: calculator"),
        ("revision: 1", "revision: 0"),
        ("revision: 1", "revision: one"),
        ("status: for review", "status: approved"),
        ("owner: Process engineer\n", ""),
        ('reviewed_on: ""', "reviewed_on: 2028-01-01"),
        ("review_due: 2028-11-25", "review_due: soon"),
        ("highest_signal_word: none", "highest_signal_word: ALARM"),
        ("effect: new", "effect: new\ncolour: red"),
        ("---\nid", "id"),
        ("title: Pressure", "title: Pressure: gauge and absolute"),
    ],
)
def test_a_bad_page_stops_the_build_and_is_named(old, new):
    assert old in GOOD
    with pytest.raises(PluginError, match="a.md"):
        front_matter.read_one("a.md", GOOD.replace(old, new, 1))


def test_an_id_stands_once(tmp_path):
    (tmp_path / "a.md").write_text(GOOD, encoding="utf-8")
    (tmp_path / "b.md").write_text(GOOD, encoding="utf-8")
    with pytest.raises(PluginError, match="VAC-01"):
        front_matter.read_all(tmp_path)


@pytest.mark.parametrize("word, content", [("none", '<div class="admonition warning">'), ("WARNING", "<p>nothing</p>")])
def test_the_highest_signal_word_is_the_highest_on_the_page(word, content):
    page = front_matter.Page("a.md", {"highest_signal_word": word})
    with pytest.raises(PluginError, match="highest_signal_word"):
        front_matter.check_signal_word(page, content)
