"""A calculator's form as HTML, filled with the example of the invented workshop."""

import re

import calcs
from calcs import air, furnace, units, wording
from calcs.form import Field, Form, known_by_furnace
from calcs.page.addresses import Links, title
from calcs.page.markup import tag, text

BLANK = "choose"
SENSES = {"absolute": "absolute", "gauge": "above the room", "below ambient": "below the room"}


def form_html(name: str, links: Links) -> str:
    """Return the form of a calculator with the example filled in, as it stands before any script runs."""
    module = calcs.calculator(name)
    form = module.FORM
    return tag(
        "form",
        tag("p", text("Example values of an invented workshop: replace them with yours."),
            class_="form-note"),
        _furnace_line(name, form, links),
        tag("div", class_="problem-list", tabindex="-1", hidden=True, role="group", aria_label="Problems"),
        _furnace_tools(name),
        _part_list(name, form),
        _modes(name, form),
        _fields(name, form, links) if not form.parts else _parts(name, form, links),
        _buttons(form),
        tag("p", class_="start-note"),
        tag("p", role="status", class_="status"),
        class_="calculator", data_calculator=name, data_state="static", novalidate=True, autocomplete="off",
        data_root=links.root, data_ending=links.ending, aria_label=form.question,
    )  # fmt: skip


def _furnace_line(name: str, form: Form, links: Links) -> str:
    if not known_by_furnace(form) and not any(f.name in furnace.KNOWN for f in form.fields):
        return ""
    example = furnace.EXAMPLE
    own = name == "furnace"
    forget = "Forget the furnace on this device" if own else "Back to the example furnace"
    return tag(
        "div",
        tag("p", text("Furnace: "), tag("strong", text(f"{example['furnace_id']}, revision {example['record_revision']}"),
                                        class_="furnace-name"), tag("span", text("example"), class_="mark"), class_="furnace-said"),
        tag("p", class_="furnace-notes", hidden=True),
        tag("p", tag("button", text("Open a furnace file"), type="button", data_do="open-furnace"),
            tag("button", text("Start an empty record"), type="button", data_do="new-furnace") if own else "",
            tag("button", text(forget), type="button", data_do="example-furnace", hidden=True),
            _plan_buttons(form, links),
            tag("input", type="file", accept=".json,application/json", hidden=True, class_="furnace-file",
                aria_label="Furnace file"), class_="furnace-buttons"),
        class_="furnace-line",
    )  # fmt: skip


def _furnace_tools(name: str) -> str:
    if name != "furnace":
        return ""
    from calcs.page import furnace_tables  # it knows every calculator, and most pages need none of them

    return furnace_tables.tools_html()


def _plan_buttons(form: Form, links: Links) -> str:
    if "run_name" not in form.by_name:
        return ""
    return "".join((
        tag("a", text("Make or revise the furnace file"), href=links.to("run/furnace"), class_="to-furnace"),
        tag("button", text("Open a plan"), type="button", data_do="open-plan"),
        tag("input", type="file", accept=".json,application/json", hidden=True, class_="plan-file", aria_label="Plan file"),
    ))  # fmt: skip


def _modes(name: str, form: Form) -> str:
    if not form.modes:
        return ""
    choices = [
        tag(
            "label",
            tag("input", type="radio", name="mode", value=mode, checked=mode == form.modes[0]),
            text(f" {_capital(mode)}"),
        )
        for mode in form.modes
    ]
    return tag("fieldset", tag("legend", text(form.mode_label)), *choices, class_="modes")


def _fields(name: str, form: Form, links: Links) -> str:
    """The open fields, then those that the furnace record fills, then those with a default; the latter two folded."""
    known = known_by_furnace(form)
    ask = [f for f in form.fields if f.name in form.ask]
    by_furnace = [f for f in form.fields if f.name in known]
    others = [f for f in form.fields if f not in ask and f not in by_furnace]
    if not form.ask:
        ask, others = [f for f in others if f.required], [f for f in others if not f.required]
    record = furnace.EXAMPLE
    parts = [_grid(name, ask, links)]
    if by_furnace:
        parts.append(_folded(
            "from-furnace",
            f"From furnace {record['furnace_id']}, revision {record['record_revision']}: {len(by_furnace)} values",
            name, by_furnace, links,
        ))  # fmt: skip
    if others:
        parts.append(_folded("assumed", f"Assumed unless you change them: {len(others)} values", name, others, links))
    return "".join(parts)


def _parts(name: str, form: Form, links: Links) -> str:
    """A long form in numbered parts, each with its own line of what is still needed."""
    found = []
    for number, (heading, names) in enumerate(form.parts, 1):
        known = [n for n in names if n in furnace.KNOWN and n not in form.ask]
        shown = [form.by_name[n] for n in names if n not in known]
        inner = _grid(name, shown, links)
        if known:
            label = f"From furnace {furnace.EXAMPLE['furnace_id']}, revision {furnace.EXAMPLE['record_revision']}: {len(known)} values"
            inner += _folded("from-furnace", label, name, [form.by_name[n] for n in known], links)
        found.append(
            tag(
                "fieldset", tag("legend", text(f"{number} {heading}")), inner, class_="part", id=f"{name}-part-{number}"
            )
        )
    return "".join(found)


def _grid(name: str, fields: list[Field], links: Links) -> str:
    return tag("div", *(field_html(name, f, links) for f in fields), class_="fields")


def _folded(class_: str, label: str, name: str, fields: list[Field], links: Links) -> str:
    inner = _grid(name, fields, links)
    return tag(
        "details",
        tag("summary", text(f"{label}. "), tag("span", text("Show"), class_="show")),
        inner,
        class_=f"more {class_}",
    )


def _part_list(name: str, form: Form) -> str:
    """The parts of a long form, each with what it still needs."""
    if not form.parts:
        return ""
    rows = [tag("li", tag("a", text(heading), href=f"#{name}-part-{number}"), ": ", tag("span", text("example"), class_="part-state"))
            for number, (heading, _) in enumerate(form.parts, 1)]  # fmt: skip
    return tag("ol", *rows, class_="part-list")


def _buttons(form: Form) -> str:
    def button(label, do, **more):
        return tag("button", text(label), type="button", data_do=do, **more)

    return tag(
        "p",
        tag("button", text(form.button), type="submit", class_="work-it-out"),
        button("Example", "example"),
        button("Clear the form", "clear"),
        button("Undo", "undo", hidden=True),
        class_="buttons",
    )


# ---------------------------------------------------------------- one field


def field_html(name: str, f: Field, links: Links) -> str:
    """Return one field: label, hint, what it was read as, its problem, and the box itself."""
    key = f"{name}-{f.name}" if f.name != "result" else f"{name}-result-field"  # {name}-result is the answer's block
    stated = calcs.calculator(name).FORM.by_name.get("flow_reference")
    reference = (stated.example or stated.default) if stated else None
    optional = " (optional)" if f.optional and name != "furnace" else ""  # a record needs nothing but its name
    if f.kind == "table":
        return _table(key, f, optional)
    label = tag("label", text(f.label + optional), for_=key)
    mark = tag("span", text(_mark(f)), class_="mark") if _mark(f) else tag("span", class_="mark", hidden=True)
    return tag(
        "div",
        label,
        mark,
        tag("p", text(f.hint), class_="hint", id=f"{key}-hint") if f.hint else "",
        tag("p", class_="problem", id=f"{key}-problem"),
        tag("div", _box(key, f), class_="entry"),
        tag("p", text(_read_as(f, reference)), class_="read-as", id=f"{key}-read"),
        tag("p", class_="doubt", id=f"{key}-doubt"),
        tag("p", text("Not known? "), tag("a", text(title(f.find)), href=links.calculator(f.find)), class_="find")
        if f.find in calcs.CALCULATORS else "",
        class_="field", data_field=f.name, data_kind=f.kind, data_modes="|".join(f.modes) or None,
        data_furnace=f.name in furnace.KNOWN, data_default=f.default, data_example=_example(f) or None,
    )  # fmt: skip


def _mark(f: Field) -> str:
    if _example(f) and f.in_example:
        return "example"
    return "default" if f.default is not None else ""


def _example(f: Field) -> str:
    return f.example if isinstance(f.example, str) and f.in_example else ""


def _read_as(f: Field, reference: str | None) -> str:
    if f.kind not in units.KINDS or not (_example(f) or f.default):
        return ""
    try:
        return read_line(f, units.read(f.kind, _example(f) or f.default), reference=reference)
    except units.Unreadable:
        return ""


def read_line(f: Field, read, ambient_pa: float | None = None, reference: str | None = None) -> str:
    """Return what a field was read as; an altitude with the pressure that it stands for."""
    line = units.read_as(read, ambient_pa, reference, f.menu_units[0])
    if f.name == "altitude" and read.si in air.ALTITUDE:
        line += f"; the air there has about {wording.number(air.air_pressure(read.si) / 100, 3)} mbar"
    return line


def _box(key: str, f: Field) -> str:
    described = " ".join(f"{key}-{part}" for part in (("hint",) if f.hint else ()) + ("problem", "read", "doubt"))
    if f.kind in ("choice", "yes/no"):
        return _select(key, f, described)
    if f.kind == "log":
        return _log_box(key, f, described)
    typed = _example(f) or f.default or ""
    number, unit = split_unit(f, typed)
    box = tag("input", type="text", id=key, name=f.name, value=number, aria_describedby=described, spellcheck="false",
              autocapitalize="off", class_="text" if f.kind in ("text", "date") else "quantity")  # fmt: skip
    return box + _unit_menu(key, f, unit) + _sense_menu(key, f, typed)


def _log_box(key: str, f: Field, described: str) -> str:
    """A box for rows, and beside it a file of any length: what is long is read in slices and never stands in the box."""
    box = tag(
        "textarea", text(_example(f)), id=key, name=f.name, aria_describedby=described, spellcheck="false", rows="4"
    )
    if not f.in_slices:
        return box
    return box + tag(
        "div",
        tag("button", text("Choose a file"), type="button", data_log="choose"),
        tag("button", text("Cancel"), type="button", data_log="cancel", hidden=True),
        tag("input", type="file", accept=".csv,.txt,.tsv,text/*", hidden=True, class_="log-file", aria_label="Log file"),
        tag("p", role="status", class_="log-progress"),
        class_="log-buttons",
    )  # fmt: skip


def _select(key: str, f: Field, described: str) -> str:
    choices = ("yes", "no") if f.kind == "yes/no" else f.choices
    chosen = _example(f) or f.default or ""
    options = [tag("option", text(BLANK), value="", selected=not chosen)]
    options += [tag("option", text(c), value=c, selected=c == chosen) for c in choices]
    return tag("select", *options, id=key, name=f.name, aria_describedby=described)


def _unit_menu(key: str, f: Field, unit: str) -> str:
    menu = f.menu_units
    if not menu or [u.name for u in menu] == ["1"]:  # a plain count: nothing to choose
        return ""
    options = [tag("option", text("as typed"), value="", selected=not unit)]
    options += [tag("option", text(u.shown or "1"), value=u.name, selected=u.name == unit) for u in menu]
    return tag("select", *options, class_="unit", data_unit_of=f.name, aria_label=f"Unit of {_small(f.label)}")


def _sense_menu(key: str, f: Field, typed: str) -> str:
    if f.kind == "gauge pressure":
        return tag("span", text("above the room"), class_="sense-word")
    if f.kind == "absolute pressure":
        return tag("span", text("absolute"), class_="sense-word")
    if f.kind != "pressure with sense":
        return ""
    chosen = next(
        (s for s, words in (("below ambient", "below"), ("gauge", "gauge"), ("absolute", "abs")) if words in typed), ""
    )
    options = [tag("option", text("absolute or not?"), value="", selected=not chosen)]
    options += [tag("option", text(said), value=sense, selected=sense == chosen) for sense, said in SENSES.items()]
    return tag("select", *options, class_="sense", data_sense_of=f.name, aria_label=f"Sense of {_small(f.label)}")


def split_unit(f: Field, typed: str) -> tuple[str, str]:
    """Return (text for the box, unit for the menu): the unit goes to the menu where the menu has it."""
    if not f.menu_units:
        return typed, ""
    bare = re.sub(r" (abs|absolute|gauge|below)$", "", typed)
    for unit in sorted(f.menu_units, key=lambda u: -len(u.name)):
        for spelling in (unit.name, unit.shown):
            if spelling and bare.endswith(f" {spelling}"):
                number = bare[: -len(spelling) - 1]
                if re.fullmatch(r"[-+0-9.e]+", number):
                    return number, unit.name
    return (bare, "1") if f.kind == "number" and re.fullmatch(r"[-+0-9.e]+", bare) else (typed, "")


# ---------------------------------------------------------------- tables


def _table(key: str, f: Field, optional: str) -> str:
    heads = [tag("th", text(c.label), scope="col") for c in f.columns] + [tag("th", text("Row"), scope="col")]
    rows = list(f.example) if isinstance(f.example, (list, tuple)) and f.in_example else []
    body = "".join(_row(key, f, number, row) for number, row in enumerate(rows, 1))
    blank = tag("template", _row(key, f, 0, {}))
    grid = tag("table", tag("thead", tag("tr", *heads)), tag("tbody", body))
    return tag(
        "fieldset",
        tag("legend", text(heading(f) + optional)),
        tag("span", text("example"), class_="mark") if rows else tag("span", class_="mark", hidden=True),
        tag("p", text(f.hint), class_="hint") if f.hint else "",
        tag("p", class_="problem", id=f"{key}-problem"),
        tag("p", class_="doubt", id=f"{key}-doubt"),
        tag("div", grid, class_="wide", tabindex="0", role="region", aria_label=f.label),
        blank,
        tag("p", tag("button", text("Add a row"), type="button", data_do="add-row"), class_="row-buttons"),
        class_="field rows", data_field=f.name, data_kind="table", data_modes="|".join(f.modes) or None,
        data_furnace=f.name in furnace.KNOWN, id=key,
    )  # fmt: skip


def heading(f: Field) -> str:
    """The label without its list of columns: the head of the table shows them."""
    return re.sub(r" \(rows: .*\)$", "", f.label)


def _row(key: str, f: Field, number: int, row: dict) -> str:
    cells = [tag("td", _cell(c, row.get(c.name, "")), data_label=c.label) for c in f.columns]
    buttons = [tag("button", text(label), type="button", data_do=do, aria_label=said)
               for label, do, said in (("Up", "row-up", "Move this row up"), ("Down", "row-down", "Move this row down"),
                                       ("Remove", "row-out", "Remove this row"))]  # fmt: skip
    return tag("tr", *cells, tag("td", *buttons, class_="row-tools"))


def _cell(column: Field, value: str) -> str:
    if column.kind in ("choice", "yes/no"):
        choices = ("yes", "no") if column.kind == "yes/no" else column.choices
        options = [tag("option", text("–"), value="", selected=not value)]
        options += [tag("option", text(c), value=c, selected=c == value) for c in choices]
        return tag("select", *options, data_column=column.name, aria_label=column.label)
    return tag("input", type="text", value=value, data_column=column.name, aria_label=column.label, spellcheck="false",
               class_="cell", placeholder=None)  # fmt: skip


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _small(words: str) -> str:
    return words[:1].lower() + words[1:]
