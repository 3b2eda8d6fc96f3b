"""The environment that every script runs in: `.venv` in the repository, made from bare Python.

A script begins with

    environment.enter("site")        # or "tests": the same and what the tests need

which makes or refreshes `.venv` where needed and goes on inside it. Nothing is fetched twice: a stamp
beside each installed set says from which lock file it came.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
VENV = ROOT / ".venv"
LOCKS = {name: ROOT / f"scripts/vendor/requirements-{name}.txt" for name in ("site", "tests")}
NEEDED = (3, 11)


def enter(wanted):
    """Go on inside `.venv` with the set `wanted` ("site" or "tests") in it; the script starts anew there."""
    # So that our lines keep their order with those of child processes, and no letter stops a script.
    sys.stdout.reconfigure(line_buffering=True, errors="replace")
    if inside() and up_to_date(wanted):
        return
    if inside():
        # It cannot replace its own files while it runs: that is for the Python which it was made from.
        python = sys._base_executable
    else:
        make(wanted)
        python = environment_python()
    command = [str(python), *sys.argv]
    if os.name == "posix":
        os.execv(command[0], command)
    sys.exit(subprocess.call(command))  # Windows has no true exec: the shell would not wait for the script


def make(wanted):
    """Make or refresh `.venv` so that the set `wanted` is in it; do nothing if it is."""
    if sys.version_info < NEEDED:
        stop(
            f"This is Python {sys.version.split()[0]}; 3.11 or newer is needed.",
            "Install one and start the script with it, for instance: python3.11 " + " ".join(sys.argv),
        )
    if up_to_date(wanted):
        return
    if not environment_python().exists() or any(stamp(name).exists() and not up_to_date(name) for name in LOCKS):
        create()
    print(
        f"Installing what the {'site needs' if wanted == 'site' else 'site and its tests need'} into .venv "
        f"({LOCKS[wanted].relative_to(ROOT).as_posix()}; a minute or two the first time) …"
    )
    # Wheels only: nothing that we install may run code of its own while it is being installed.
    command = [str(environment_python()), *"-m pip install -qq --disable-pip-version-check".split()]
    command += [
        "--require-hashes",
        "--no-deps",
        "--only-binary",
        ":all:",
        "--requirement",
        str(LOCKS[wanted]),
    ]
    if subprocess.call(command, cwd=ROOT):
        stop(
            "Not everything could be installed; the lines above say what.",
            "Check the network and the disk, then start the script again: what was fetched is kept.",
            "If a hash differs, do not go on: the file is not the one that this project was tried with.",
        )
    put_on_path()
    # A set holds those before it. Written last, so that a broken installation is tried again.
    for name in LOCKS:
        stamp(name).write_text(digest(name))
        if name == wanted:
            break


def create():
    print(f"Making the environment .venv with Python {sys.version.split()[0]} …")
    if VENV.exists():
        shutil.rmtree(VENV)  # an older one may hold packages that are no longer wanted
    made = subprocess.run([sys.executable, "-m", "venv", str(VENV)], capture_output=True, text=True)
    if made.returncode:
        shutil.rmtree(VENV, ignore_errors=True)
        stop(
            (made.stdout + made.stderr).strip(),
            "This Python could not make a virtual environment.",
            "On Debian and Ubuntu: install the package python3-venv, then start the script again.",
        )


def put_on_path():
    """Let the environment find `calcs` and `scripts` in the repository: nothing to package or to fetch."""
    paths = {"base": str(VENV), "platbase": str(VENV)}
    site_packages = Path(sysconfig.get_path("purelib", scheme="venv", vars=paths))
    (site_packages / "chamber_furnace_practice.pth").write_text(str(ROOT) + "\n", encoding="utf-8")


def inside():
    return Path(sys.prefix).resolve() == VENV


def environment_python():
    return VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def stamp(name):
    return VENV / f"installed-{name}"


def digest(name):
    """Return what the stamp of a set says when it is up to date: lock file, Python and folder."""
    version = "{}.{}".format(*sys.version_info)
    return hashlib.sha256(LOCKS[name].read_bytes() + version.encode() + str(ROOT).encode()).hexdigest()


def up_to_date(name):
    return environment_python().exists() and stamp(name).exists() and stamp(name).read_text() == digest(name)


def stop(*lines):
    sys.exit("\n".join(lines))


if __name__ == "__main__":
    make(sys.argv[1] if len(sys.argv) > 1 else "tests")
    print("The environment .venv is ready.")
