"""What the pages ask about furnace records; the rest of the border is in `border`.

    furnace_fill     calculator, furnace, inputs, today   -> what the record gives to this form beside its plain values
    furnace_save     inputs, touched, furnace, today      -> the next revision, as a file; or the problems
    furnace_compare  one, two, inputs, furnace, other     -> what differs between two records
    furnace_differs  inputs, furnace                      -> how a plan's furnace differs from the record
    furnace_carried  values, furnace                      -> values of another page, as the record's own

`furnace` is {record, history} as kept or opened, or nothing where the example furnace stands.
What concerns records alone is imported when it is asked for: most pages never do.
"""

from calcs import furnace as known
from calcs.form import LONGEST_TEXT, Problems
from calcs.page.addresses import Links

FEW = 3  # values that are named one by one


def kept(given) -> dict | None:
    """Return {record, history} of what a page sends, or None where that is no furnace.

    What lies in a browser's storage may be from anybody: it is looked at like a file.
    """
    from calcs.run import files

    if not isinstance(given, dict):
        return None
    try:
        text = files.furnace_file(given.get("record") or {}, given.get("history") or ())
        file = files.opened(text, files.FURNACE)
    except (files.CannotOpen, AttributeError, TypeError):
        return None
    record = files.furnace_record(file)
    return {"record": record, "history": files.furnace_history(file)} if record else None


def opened(file: dict, kept_furnace) -> dict:
    """Return the reply to an opened furnace file: the furnace, and what must be said of it.

    Args:
        file: as `files.opened` returns it.
        kept_furnace: the furnace that stood on the page or on the device before.
    """
    from calcs.run import files
    from calcs.run import furnace_record as records

    record, notes = files.furnace_record(file), list(file["unknown"])
    before = kept(kept_furnace)
    if not record:
        return {"problem": "The file is a furnace record without a single value that this site knows."}
    if before and records.older(record, before["record"]):
        notes.append(
            f"The file holds {known.revision_said(record)}, which is older than the record that was kept here "
            f"({known.revision_said(before['record'])})."
        )
    if known.OLD_LIMIT in record and "gas_limits" not in record:
        notes.append(known.limit_for(record, None)[1])
    return {"furnace": {"record": record, "history": files.furnace_history(file)}, "notes": notes,
            "said": known.revision_said(record)}  # fmt: skip


def _fill(request: dict) -> dict:
    """Say what a record gives beside its plain values: the limit of the gas, what is overdue, what can be compared."""
    furnace, own = request.get("furnace"), request.get("calculator") == "furnace"
    furnace = kept(furnace) if own else _looks_right(furnace)
    record = furnace["record"] if furnace else known.EXAMPLE
    inputs = request.get("inputs") or {}
    gas, rows = inputs.get("gas"), inputs.get("mixture")
    limit, note = known.limit_for(record, gas if isinstance(gas, str) else None, rows if isinstance(rows, list) else ())
    reply = {"limit": limit, "note": note, "said": known.revision_said(record), "usable": furnace is not None,
             "overdue": known.overdue(record, request.get("today", "")) if furnace else ""}  # fmt: skip
    if own:
        from calcs.page import furnace_tables as html

        reply |= {"choices": html.choices(furnace, kept(request.get("other"))),
                  "history": html.history_html(furnace["record"], furnace["history"]) if furnace else ""}  # fmt: skip
    return reply


def _looks_right(given) -> dict | None:
    """Return a kept furnace if it is one of texts and rows; quicker than `kept`, and drops no unknown names."""
    from calcs.run import files

    return given if isinstance(given, dict) and given.get("record") and files.is_record(given["record"]) else None


def _save(request: dict) -> dict:
    """Return the record as a file, raised by one revision where a value changed; or the problems, beside the fields."""
    from calcs.page import border
    from calcs.page import furnace_tables as html
    from calcs.run import files, furnace
    from calcs.run import furnace_record as records

    base, typed, today = kept(request.get("furnace")), request["inputs"], request.get("today", "")
    left = records.example_left(typed, set(request.get("touched") or ()))
    try:
        if left:
            raise Problems(_still_example(left))
        after = records.revised(base, typed, today)
        text = files.furnace_file(after["record"], after["history"])
        files.opened(text, files.FURNACE)  # nothing is given out that could not be opened again
    except Problems as problems:
        return border.problem_reply("furnace", furnace.FORM, problems)
    except files.CannotOpen as trouble:
        return {"problem": trouble.message}
    same = base is not None and after["record"] == base["record"]
    said = known.revision_said(after["record"])
    return {
        "furnace": after,
        "file": text,
        "file_name": files.file_name(files.FURNACE, today, after["record"]["record_revision"]),
        "say": f"{said}: {'nothing changed, the same revision' if same else 'ready'}.",
        "choices": html.choices(after, kept(request.get("other"))),
        "history": html.history_html(after["record"], after["history"]),
    }


def _still_example(left: list[str]) -> dict:
    from calcs.run import furnace

    if len(left) <= FEW:
        words = "this is still the example furnace's value. Type your own, or empty it."
        return {name: f"{furnace.FORM.by_name[name].label}: {words}" for name in left}
    return {
        left[0]: f"{furnace.FORM.by_name[left[0]].label} and {len(left) - 1} more are still the example furnace's "
        "values, which are no furnace's. Start an empty record, or type your own over them."
    }


def _compare(request: dict) -> dict:
    from calcs.page import furnace_tables as html

    base, other, typed = kept(request.get("furnace")), kept(request.get("other")), request["inputs"]
    words = dict(html.choices(base, other))
    keys = [str(request.get(which, "")) for which in ("one", "two")]
    found = [html.chosen(key, typed, base, other) for key in keys]
    if None in found:
        return {"problem": "One of the two records is not here any more. Choose again."}
    return {"html": html.changes_html(*found, (words[keys[0]], words[keys[1]]))}


def _differs(request: dict) -> dict:
    from calcs.run import furnace_record as records

    furnace = kept(request.get("furnace"))
    if furnace is None:
        return {"said": ""}
    said = records.plan_and_record(request["inputs"], furnace["record"])
    return {"said": said, "take": f"Take the values of {known.revision_said(furnace['record'])}"}


def _carried(request: dict) -> dict:
    """Return values that another page hands over; a text that is too long, or no text, is left out."""
    from calcs.run import furnace_record as records

    furnace = kept(request.get("furnace"))
    values = {str(n): v for n, v in (request.get("values") or {}).items()}
    values = {n: v for n, v in values.items() if not isinstance(v, str) or len(v) <= LONGEST_TEXT}
    return {"values": records.carried(values, furnace["record"] if furnace else {})}


def below_answer(answer, request: dict, links: Links) -> str:
    """Return what stands below an answer that a furnace record can take up, else ""."""
    if answer.calculator != "follow" or "fit_error" not in answer.figures:
        return ""
    from calcs.page import furnace_tables as html
    from calcs.run import furnace_record as records

    return html.put_button(records.calibration(answer, request.get("today", "")), links)


DOINGS = {
    "furnace_fill": _fill,
    "furnace_save": _save,
    "furnace_compare": _compare,
    "furnace_differs": _differs,
    "furnace_carried": _carried,
}
