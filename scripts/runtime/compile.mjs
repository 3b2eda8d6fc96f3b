// Byte-compiles what the browser runs, by the browser's own interpreter: bytecode fits one version of Python only.
// Reads sources.zip; writes app.zip, stdlib.zip (compiled where the calculators use it, source elsewhere) and lock.json.
// node compile.mjs <folder of Pyodide> <folder to read from and write to>
import fs from "node:fs";
import path from "node:path";
import { pathToFileURL } from "node:url";

const [home, build] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(path.join(home, "pyodide.mjs")));
const py = await loadPyodide({ indexURL: path.join(home, path.sep) });
const put = (name, file) => py.FS.writeFile(name, new Uint8Array(fs.readFileSync(file)));   // it refuses a Buffer
put("/sources.zip", path.join(build, "sources.zip"));
put("/python_stdlib.zip", path.join(home, "python_stdlib.zip"));

const work = `
import importlib, importlib.util, json, sys, zipfile
from importlib._bootstrap_external import _code_to_hash_pyc

def read(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist() if not name.endswith("/")}

def write(path, files, compiled):
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in sorted(files.items()):
            if name in compiled:
                code = compile(data, name, "exec", dont_inherit=True, optimize=2)
                # Marked "do not check": the source that it would be checked against is not shipped.
                name, data = name + "c", _code_to_hash_pyc(code, importlib.util.source_hash(data), False)
            # ZipInfo of its own: the same bytes whenever and wherever it is made.
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED, 9)

with zipfile.ZipFile("/sources.zip") as archive:
    archive.extractall("/app")
sys.path.insert(0, "/app")

# Use everything once: the standard library's modules seen then are those worth compiling,
# and a module that does not load in the browser's Python stops the build here.
app, library = read("/sources.zip"), read("/python_stdlib.zip")
for name in sorted(app):
    if name.startswith("calcs/") and name.endswith(".py") and not name.endswith("__main__.py"):   # that one would run
        importlib.import_module(name.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
json.dumps(sys.modules["calcs.page"].respond({"do": "warm"}), allow_nan=False)

used = {getattr(module, "__file__", None) or "" for module in list(sys.modules.values())}
write("/app.zip", app, {name for name in app if name.endswith(".py")})
write("/stdlib.zip", library, {file.split(".zip/")[1] for file in used if ".zip/" in file} & library.keys())
`;
try {
  py.runPython(work);
} catch (error) {
  console.error(error.message);                        // without this, Node prints Pyodide's one line of 1.2 MB
  process.exit(1);
}
for (const name of ["app.zip", "stdlib.zip"]) fs.writeFileSync(path.join(build, name), py.FS.readFile("/" + name));
// No packages to load; what it says about the interpreter must stay, or Pyodide refuses to start.
const { info } = JSON.parse(fs.readFileSync(path.join(home, "pyodide-lock.json")));
fs.writeFileSync(path.join(build, "lock.json"), JSON.stringify({ info, packages: {} }));
