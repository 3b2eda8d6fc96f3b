"""The first use of a word of the glossary is a link, in running text and nowhere else."""

from markdown.extensions.toc import slugify

from scripts import glossary

WORDS = {"dew point": "dew-point", "leak rate": "leak-rate", "leak": "leak"}


def linked(html: str) -> str:
    return glossary.linked(html, WORDS, "../words/")


def test_the_first_use_is_linked_and_no_other():
    assert (
        linked("<p>Dew points and a dew point.</p>")
        == '<p><a class="term" href="../words/#dew-point">Dew points</a> and a dew point.</p>'
    )


def test_the_longer_word_wins():
    assert 'href="../words/#leak-rate">leak rate</a>' in linked("<p>The leak rate.</p>")


def test_headings_links_tables_and_forms_are_left_alone():
    html = "<h2>Leak</h2><p><a href='x'>leak</a></p><table><tr><td>leak</td></tr></table><form><p>leak</p></form>"

    assert linked(html) == html


def test_a_word_linked_by_hand_is_not_linked_again():
    html = '<p><a href="../start/words/#leak">it</a> is a leak</p>'

    assert linked(html) == html


def test_a_part_of_a_word_is_no_word():
    assert linked("<p>leakage, re-leak &amp; x</p>") == "<p>leakage, re-leak &amp; x</p>"


def test_every_entry_has_its_anchor():
    found = glossary.terms(lambda head: slugify(head, "-"))

    assert found["Dew point"] == "dew-point" and len(found) > 80


def test_a_page_named_by_its_id_is_linked_unless_it_is_this_one_or_not_there():
    html = "<p>See VAC-04, SAF-99 and ATM-02.</p><table><tr><td>VAC-04</td></tr></table>"
    link = '<a href="../vacuum/rise-test/">VAC-04</a>'

    found = glossary.ids_linked(html, {"VAC-04": "../vacuum/rise-test/", "ATM-02": "x"}, "ATM-02")

    assert found == f"<p>See {link}, SAF-99 and ATM-02.</p><table><tr><td>{link}</td></tr></table>"


def test_a_run_card_has_no_links_and_what_follows_it_has():
    html = '<div class="run-card"><p>argon RUN-01</p><table><td>RUN-01</td></table></div><p>RUN-01</p>'

    assert glossary.ids_linked(html, {"RUN-01": "run/plan/"}, "ST-02").count("<a ") == 1
    assert glossary.linked(html, {"argon": "argon"}, "words/") == html
