"""Furnace records as HTML: what changed between two, the revisions of one, and the table of all values."""

import json

import calcs
from calcs import furnace as known
from calcs.page.addresses import Links
from calcs.page.markup import table, tag, text
from calcs.run import furnace
from calcs.run import furnace_record as records

FORM_KEY, EXAMPLE_KEY = "form", "example"


def changes_html(one: dict, other: dict, names: tuple[str, str]) -> str:
    """Return what differs between two records: value, before, after, and what hangs on it.

    Args:
        one: a record, as typed.
        other: another.
        names: what the two are called.
    """
    found = records.changes(one, other)
    head = tag("p", text(f"{names[0]} and {names[1]}: {_told(len(found))}"), class_="compared-said")
    if not found:
        return head
    rows = [[text(c.label), text(c.before), text(c.after), text(_hangs_on(c.name))] for c in found]
    caption = f"What differs: {names[0]} (before), {names[1]} (after)"
    return head + table(caption, ["Value", "Before", "After", "What hangs on it"], rows, "compared-values")


def _told(count: int) -> str:
    return "no value differs." if not count else "1 value differs." if count == 1 else f"{count} values differ."


def _hangs_on(name: str) -> str:
    row = furnace.ROWS[name]
    checks = f"; checks {', '.join(row['checks'])}" if row["checks"] else ""
    return f"{row['use']}{checks}"


def history_html(record: dict, history: list) -> str:
    """Return the revisions of a furnace, the newest first: who changed what, when, and the values before and after."""
    chain = [*history, record]
    if len(chain) < 2:
        return ""
    rows = []
    for number in range(len(chain) - 1, 0, -1):
        now = chain[number]
        who = " · ".join(str(now[n]) for n in (records.ON, "record_changed_by") if now.get(n))
        lines = "; ".join(c.line for c in records.changes(chain[number - 1], now)) or "no value"
        rows.append(
            [text(known.revision_said(now)), text(who or "–"), text(now.get("record_change", "–")), text(lines)]
        )
    caption = "Revisions of this record, the newest first"
    return table(caption, ["Revision", "When, who", "What changed", "Values before → after"], rows, "revisions")


def choices(base: dict | None, other: dict | None) -> list[list[str]]:
    """Return what can be compared, as [key, words]: the form, the revisions of both files, the example."""
    found = [[FORM_KEY, "What stands in the form"]]
    for place, file in (("base", base), ("other", other)):
        if file:
            chain = [*(file.get("history") or ()), file["record"]]
            label = "" if place == "base" else ", other file"
            found += [[f"{place} {i}", known.revision_said(r) + label] for i, r in reversed(list(enumerate(chain)))]
    return [*found, [EXAMPLE_KEY, f"Example furnace {known.revision_said(known.EXAMPLE)}"]]


def chosen(key: str, typed: dict, base: dict | None, other: dict | None) -> dict | None:
    """Return the record of a choice, or None where there is none of that key."""
    if key == FORM_KEY:
        return records.record_of(typed)
    if key == EXAMPLE_KEY:
        return furnace.FORM.example()
    place, _, number = key.partition(" ")
    file = {"base": base, "other": other}.get(place)
    chain = [*(file.get("history") or ()), file["record"]] if file else []
    return chain[int(number)] if number.isdecimal() and int(number) < len(chain) else None


def tools_html() -> str:
    """Return what the furnace form has beside its fields: comparing, and the revisions of the opened file."""

    def menu(which, label, chosen):
        options = [tag("option", text(words), value=key, selected=key == chosen) for key, words in choices(None, None)]
        return tag("label", text(f"{label} "), tag("select", *options, data_compare=which))

    return tag(
        "details",
        tag("summary", text("Compare two records or two revisions. "), tag("span", text("Show"), class_="show")),
        tag("p", menu("one", "Before", EXAMPLE_KEY), " ", menu("two", "After", FORM_KEY), " ",
            tag("button", text("Compare"), type="button", data_do="compare"), " ",
            tag("button", text("Open a second file to compare with"), type="button", data_do="open-other"),
            tag("input", type="file", accept=".json,application/json", hidden=True, class_="other-file",
                aria_label="Second furnace file"), class_="furnace-buttons"),
        tag("div", class_="compared", role="region", aria_label="What differs", tabindex="-1"),
        tag("div", class_="history"),
        class_="compare",
    )  # fmt: skip


def put_button(values: dict, links: Links) -> str:
    """Return the button that takes values of this page to the furnace record."""
    return tag(
        "p",
        tag("a", text("Put into the furnace file"), href=links.to("run/furnace"), class_="use put-values",
            data_put=json.dumps(values, ensure_ascii=False)),
        text(" The values go to the furnace's form (RUN-07), where they are looked at and saved as its next revision."),
        class_="put",
    )  # fmt: skip


def values_html(links: Links) -> str:
    """Return every value of a record: where it is found, what it is for, what hangs on it, and the example furnace."""
    found = []
    for part, names in furnace.FORM.parts:
        rows = [
            [text(furnace.FORM.by_name[n].label.split(" (rows:")[0]), text(_example(n)),
             text(furnace.ROWS[n]["where"]), text(furnace.ROWS[n]["use"]), _asked_by(n, links),
             text(", ".join(furnace.ROWS[n]["checks"]) or "–")]
            for n in names if n not in furnace.CONTROL or n == "record_revision"
        ]  # fmt: skip
        heads = ["Value", "Example furnace", "Where to find it", "What it is for", "Calculators", "Checks of the plan"]
        found.append(tag("h3", text(part), id=f"values-{part.lower().replace(' ', '-')}"))
        found.append(table(f"{part}: every value of the record", heads, rows, "read-off furnace-values"))
    return "".join(found)


def _example(name: str) -> str:
    f = furnace.FORM.by_name[name]
    return records.said(f.example) if f.in_example and f.example else "none"


def _asked_by(name: str, links: Links) -> str:
    """Return links to the calculators that ask for a value; a limit by gas is asked as the one of the run's gas."""
    from calcs.index import index

    wanted = {name, known.OLD_LIMIT} if name == "gas_limits" else {name}
    asking = [n for n in calcs.CALCULATORS if wanted & set(index()[n]["inputs"])]
    return ", ".join(tag("a", text(index()[n]["page"]), href=links.calculator(n)) for n in asking) or "–"


__all__ = ["changes_html", "choices", "chosen", "history_html", "put_button", "tools_html", "values_html"]
