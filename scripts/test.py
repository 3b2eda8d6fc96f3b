"""Run every check of the project: `python3 scripts/test.py`. Needs Python 3.11 and nothing else.

Further words go to pytest, which then may run a part only: `python3 scripts/test.py tests/vacuum -k rise`.
"""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[0] = str(ROOT)
from scripts import environment


def main():
    environment.enter("tests")
    from scripts import build, chromium, serve

    chromium.ensure()
    server = serve.in_background(serve.open_server(ROOT / "site"))
    print("Building both editions …")
    build.build(address=serve.address(server))
    failed = [name for name, command in checks(sys.argv[1:]).items() if not passes(name, command, server)]
    if failed:
        sys.exit("\nFailed: " + ", ".join(failed))
    print("\nAll checks passed.")


def checks(further):
    """Return each check by name, as the words after `python -m`."""
    # Two processes on any machine: more browsers than that fight over the cores of a small one.
    pytest = ["pytest", "-n", "2", "--dist", "loadfile", *further]
    return {
        "ruff check": ["ruff", "check", "--output-format", "concise", "."],
        "ruff format": ["ruff", "format", "--check", "--output-format", "concise", "."],
        "pytest": pytest,
    }


def passes(name, words, server):
    """Run one check and say whether it passed. All of them run: one run shows everything that is wrong."""
    from scripts import serve

    print(f"\n{name} …", flush=True)
    # The tests share this server: the site was built for its address.
    variables = os.environ | {"SITE_URL": serve.address(server)}
    return subprocess.call([sys.executable, "-m", *words], cwd=ROOT, env=variables) == 0


if __name__ == "__main__":
    main()
