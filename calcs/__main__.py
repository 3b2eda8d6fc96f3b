"""The calculators from a terminal.

    python -m calcs                                   lists the questions
    python -m calcs pumpdown                          what it asks, with the example
    python -m calcs pumpdown free_volume="10 L" …     works it out; --rest-from-example fills the others
    python -m calcs plan --file run.json              works out a saved plan
    python -m calcs checks [pumpdown]                 compares with the published values

Exit status: 0 answered, 2 problems in the input, 3 refused, 1 a published check failed.
"""

import argparse
import json
import sys
from pathlib import Path

import calcs
from calcs.core import VERDICTS
from calcs.form import Problems


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status."""
    options = _parser().parse_args(arguments)
    if not options.name:
        return _list_questions()
    if options.name == "checks":
        return _run_checks([text for text in options.inputs if "=" not in text])
    if options.name not in calcs.CALCULATORS:
        print(f"There is no calculator named “{options.name}”. There are: {', '.join(calcs.CALCULATORS)}.")
        return 2
    try:
        typed = _typed(options)
    except ValueError as trouble:
        print(trouble)
        return 2
    if typed is None:
        return _describe(options.name)
    return _work_out(options, typed)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m calcs", description=__doc__.split("\n\n")[0])
    parser.add_argument("name", nargs="?", help="a calculator, or: checks")
    parser.add_argument("inputs", nargs="*", help='inputs as typed on the page: free_volume="24 L"')
    parser.add_argument("--rest-from-example", action="store_true", help="take the inputs not given from the example")
    parser.add_argument("--file", type=Path, help="a saved file with the inputs")
    parser.add_argument("--json", action="store_true", help="print the answer as JSON")
    return parser


def _typed(options) -> dict | None:
    """Return the inputs as typed, or None where none are given."""
    if not options.inputs and not options.file and not options.rest_from_example:
        return None
    given = dict(_pair(text) for text in options.inputs)
    if options.file:
        from calcs.run import files

        given = files.plan_inputs(files.opened(options.file.read_text(encoding="utf-8"))) | given
    if options.rest_from_example:
        given = _with_example(options.name, given)
    return given


def _pair(text: str) -> tuple[str, str]:
    name, mark, value = text.partition("=")
    if not mark:
        raise ValueError(f'“{text}” is not name=value. Example: free_volume="24 L"')
    return name.strip().replace("-", "_"), value


def _with_example(name: str, given: dict) -> dict:
    """Fill from the example, except the alternatives to what is given."""
    form = calcs.calculator(name).FORM
    filled = calcs.example(name, given.get("mode", ""))
    for group in form.one_of:
        if any(n in given for n in group):
            filled = {n: v for n, v in filled.items() if n not in group}
    return filled | given


def _list_questions() -> int:
    for entry in calcs.catalogue():
        print(f"{entry['page']}  {entry['name']:14} {entry['question']}")
    return 0


def _describe(name: str) -> int:
    entry = next(e for e in calcs.catalogue() if e["name"] == name)
    print(f"{entry['question']}  ({entry['page']})")
    if entry["modes"]:
        print(f"  mode: {' · '.join(entry['modes'])}")
    for f in entry["fields"]:
        example = f["example"] if isinstance(f["example"], str) else f"{len(f['example'])} rows"
        modes = f"  [{', '.join(f['modes'])}]" if f["modes"] else ""
        print(f"  {f['name']:22} {f['label']} ({f['need']}). Example: {example}{modes}")
    print("Gives: " + ", ".join(f["name"] for f in entry["figures"]))
    return 0


def _work_out(options, typed: dict) -> int:
    try:
        answer = calcs.work_out(options.name, typed)
    except Problems as problems:
        if options.json:
            print(json.dumps({"problems": problems.messages}, ensure_ascii=False, indent=1))
        else:
            print(
                "There is a problem."
                if len(problems.messages) == 1
                else f"There are {len(problems.messages)} problems."
            )
            for name, message in problems.messages.items():
                print(f"  {name}: {message}")
        return 2
    if options.json:
        print(json.dumps(answer.to_dict(), ensure_ascii=False, indent=1))
    else:
        _print_answer(answer)
    return 3 if answer.refusal else 0


def _print_answer(answer) -> None:
    if answer.refusal:
        print(answer.refusal.message)
        return
    print((f"{VERDICTS[answer.verdict]}. " if answer.judged else "") + answer.sentence)
    for figure in answer.figures.values():
        if figure.rows:
            print(f"  {figure.label}:")
            for row in figure.rows:
                print("    " + " | ".join(str(cell) for cell in _cells(figure, row)))
        else:
            span = f"  ({figure.span})" if figure.low_value is not None or figure.high_value is not None else ""
            print(f"  {figure.label}: {figure.text}{span}")
    for heading, lines in (("Leaves out", answer.leaves_out), ("Note", answer.notes)):
        for line in lines:
            print(f"  {heading}: {line}")
    for caution in answer.cautions:
        print(f"  {caution.word}: {caution.hazard}. {caution.harm} {caution.action}")


def _cells(figure, row: dict) -> list[str]:
    from calcs.page.answer import cell_text

    return [cell_text(column, row[column.name]) for column in figure.shown.columns]


def _run_checks(names: list[str]) -> int:
    from calcs import published

    failed = 0
    for result in published.run(names):
        failed += not result.as_it_should
        print(result.line)
    print(f"{failed} of them not as they should be." if failed else "All as they should be.")
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main())
    except BrokenPipeError:  # whoever reads the output has seen enough
        sys.stderr.close()
