"""The review pack: what a committee takes along for the pages that it chooses, as one document to print.

The build writes, for every page, what does not stand on it: its constants and its open points. The browser gathers
the chosen pages themselves (docs/assets/pack.js).
"""

from datetime import date

from calcs import data
from calcs.page.markup import items, table, tag, text
from scripts import approvals, said_by_code

ORDER = ("HOME", "RUN", "ST", "VAC", "ATM", "HT", "MAT", "SAF", "BEN", "REV")
GROUPS = {"HOME": "Home", "RUN": "Plan a run", "ST": "Start here", "VAC": "Vacuum", "ATM": "Atmosphere", "HT": "Heat", "MAT": "Materials",
          "SAF": "Safety", "BEN": "Bench sheets", "REV": "Review"}  # fmt: skip
NOT_READ = "known, source not looked up"
DECISIONS = "approve / approve with conditions / return"
SIGNATURES, REMARKS = 4, 8


def in_order(pages: dict) -> list:
    """Return the pages in the order of the site."""
    return sorted(pages.values(), key=lambda page: (ORDER.index(page.id.split("-")[0]), page.id))


def html_of(pages: dict, said: dict, links, site: str, today: date) -> str:
    """Return the form that chooses pages, and for each page what the pack adds to it.

    Args:
        pages: every page, with its check code and the sources that it cites.
        said: page id to what the lab says of it.
        links: the way to other pages.
        site: revision of the site.
        today: the day of the build.
    """
    ordered = in_order(pages)
    parts = "".join(_part(page, said[page.id], links, today) for page in ordered)
    return tag(
        "div", _form(ordered, today), parts, _end(), class_="pack-choice", data_site=site,
    ) + tag("div", class_="pack", hidden=True)  # fmt: skip


def _form(ordered: list, today: date) -> str:
    groups = []
    for prefix, title in GROUPS.items():
        boxes = [_box(page, today) for page in ordered if page.id.split("-")[0] == prefix]
        if boxes:
            groups.append(tag("fieldset", tag("legend", text(title)), *boxes))
    buttons = [tag("button", text(label), type="button", data_pack=what)
               for label, what in (("All pages", "all"), ("None", "none"), ("Due for review", "due"))]  # fmt: skip
    purpose = tag("p", tag("label", text("Purpose of this review "), for_="pack-purpose"),
                  tag("input", type="text", id="pack-purpose", maxlength="200", autocomplete="off"))  # fmt: skip
    make = tag("p", tag("button", text("Make the pack"), type="button", data_pack="make"), " ",
               tag("button", text("Print the pack"), type="button", data_pack="print", hidden=True), class_="buttons")  # fmt: skip
    status = tag("p", role="status", class_="status")
    return tag("form", tag("p", *buttons, class_="buttons"), *groups, purpose, make, status, class_="pack-form")


def _box(page, today: date) -> str:
    """A tick box for a page. Registers are left out at first: each is longer than the pages it lists."""
    label = f"{page.id} {page.title}"
    box = tag(
        "input",
        type="checkbox",
        name="page",
        value=page.id,
        checked=page.kind != "register",
        data_due=is_due(page, today),
    )
    return tag("label", box, text(f" {label}"), class_="pack-page")


def is_due(page, today: date) -> bool:
    """Whether a page waits for a reviewer: never reviewed, or its date has come."""
    return page.status != "withdrawn" and (not page.reviewed_on or page.review_due <= today)


def _part(page, said: str, links, today: date) -> str:
    """What the pack adds to a page, kept in a template until the page is chosen."""
    cells = (page.id, page.title, str(page.revision), page.status, page.check_code, said)
    row = tag("tr", tag("th", text(cells[0]), scope="row"), *(tag("td", text(cell)) for cell in cells[1:]))
    added = tag("h3", text(f"Open points of {page.id}")) + items(open_points(page, said, today)) + _constants(page)
    head = f"{page.id} {page.title}, revision {page.revision}, {page.status}, check code {page.check_code}"
    address = links.to(page.address) if page.address else links.root + ("" if links.ending == "/" else "index.html")
    return tag("template", tag("table", tag("tbody", row)), tag("div", added), data_page=page.id, data_head=head,
               data_href=address or "./")  # fmt: skip


def constants_of(page) -> list[str]:
    """Return the keys of the constants that the calculator of a page uses."""
    return said_by_code.constants_of(page.calculator) if page.calculator else []


def _constants(page) -> str:
    keys = constants_of(page)
    if not keys:
        return ""
    known = data.all_constants()
    rows = [
        [text(known[key]["title"]), text(f"{known[key]['value']} {known[key].get('unit', '')}".strip()),
         text(str(known[key]["digits"])), text(f"{known[key]['source']}, {known[key].get('place', '')}".strip(", ")),
         text(known[key]["standing"])]
        for key in keys
    ]  # fmt: skip
    heads = ["Constant", "Value", "Digits or uncertainty", "Source and place", "Standing"]
    return table(f"Constants that {page.id} uses", heads, rows, "register")


def open_points(page, said: str, today: date) -> list[str]:
    """Return what a reviewer has still to settle about a page, in sentences.

    Args:
        page: the page, with the sources that it cites.
        said: what the lab says of it.
        today: the day of the build.
    """
    found = []
    if page.status != "issued":
        found.append(f"Its status is “{page.status}”.")
    if not page.reviewed_on:
        found.append("Nobody of the project has reviewed it yet.")
    if (late := (today - page.review_due).days) > 0:
        found.append(f"Its review is overdue by {late} days.")
    if said == approvals.NONE or "lapsed" in said:
        found.append(f"{said}.")
    sources = data.all_sources()
    if unread := [key for key in page.cited if sources[key]["standing"] == NOT_READ]:
        found.append(f"Cited from memory, to be looked up before you sign: {', '.join(unread)}.")
    constants = data.all_constants()
    mine = constants_of(page)
    if habits := [key for key in mine if constants[key]["source"] == "common practice"]:
        found.append(f"Constants of common practice, without a source: {', '.join(habits)}.")
    if unread := [key for key in mine if constants[key]["standing"] == NOT_READ]:
        found.append(f"Constants from memory: {', '.join(unread)}.")
    return found or ["None that the build can see."]


def _end() -> str:
    """The last sheet: report of the checks, signatures, remarks."""
    blank = tag("tr", *(tag("td", text("\u00a0")) for _ in range(5)))
    heads = ["Name", "Role", f"Decision: {DECISIONS}", "Date", "Signature"]
    head = tag("tr", *(tag("th", text(h), scope="col") for h in heads))
    signatures = tag("table", tag("thead", head), tag("tbody", *[blank] * SIGNATURES), class_="pack-signatures")
    report = tag("p", text("Report of REV-04, run by the reviewer on a computer of the lab and put behind this pack. Run on, by, result: "),
                 tag("span", class_="blank"))  # fmt: skip
    remarks = tag("h3", text("Remarks")) + "".join([tag("p", text("\u00a0"), class_="pack-line")] * REMARKS)
    return tag("template", tag("h2", text("Decision")), report, signatures, remarks, data_end=True)
