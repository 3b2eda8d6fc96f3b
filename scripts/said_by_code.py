"""What the code of the package can say: every place that makes a caution or a refusal, with words, condition and pages.

The code is read, not run: so nothing is missed that no example happens to reach.
"""

import ast
import re
from dataclasses import dataclass
from functools import cache

import calcs
from calcs import data
from scripts import registers

QUIET = ("calcs.page", "calcs.core", "calcs.published")  # they show, declare and compare; they say nothing themselves


@dataclass(frozen=True)
class Call:
    """One place in the code that makes a caution or a refusal."""

    module: str
    node: ast.Call
    parents: tuple
    constants: dict

    @property
    def function(self) -> str:
        return next((p.name for p in self.parents if isinstance(p, ast.FunctionDef)), "")

    @property
    def pages(self) -> str:
        return ", ".join(pages_of(self.module, self.function))

    @property
    def place(self) -> str:
        return f"{self.module}, line {self.node.lineno}"

    def words(self, node) -> str:
        """Return the text of an argument; what depends on the inputs stands as ‹name›."""
        if isinstance(node, ast.Constant):
            return str(node.value)
        if isinstance(node, ast.JoinedStr):
            return "".join(self.words(part) for part in node.values)
        if isinstance(node, ast.FormattedValue):
            return self.words(node.value)
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
            return self.words(node.left) + self.words(node.right)
        if isinstance(node, ast.IfExp):
            return f"{self.words(node.body)} / {self.words(node.orelse)}".removesuffix(" / ").removeprefix(" / ")
        if isinstance(node, ast.Name) and node.id in self.constants:
            return self.words(self.constants[node.id])
        return f"‹{_name(node)}›"

    @property
    def condition(self) -> str:
        """What leads to this place, as the code has it: the nearest question above it, and the function."""
        function, child = self.function, self.node
        for parent in self.parents:
            if isinstance(parent, ast.If):
                asked = ast.unparse(parent.test)
                return f"{function}: {asked if child in parent.body else f'not ({asked})'}"
            if isinstance(parent, ast.ExceptHandler):
                return f"{function}: {ast.unparse(parent.type) if parent.type else 'any error'} was raised"
            if isinstance(parent, (ast.For, ast.While)) and child in parent.orelse:
                return f"{function}: nothing found"
            if isinstance(parent, ast.FunctionDef):
                break
            child = parent
        return f"{function}: always, once it is reached"


def _name(node) -> str:
    """Return a short name for something worked out: ‹time›, ‹gas›."""
    if isinstance(node, ast.Call):
        inner = [a for a in node.args if not isinstance(a, ast.Constant) or isinstance(a.value, str)]
        owner = node.func.value if isinstance(node.func, ast.Attribute) else node.func
        return _name(inner[0] if inner else owner)
    if isinstance(node, ast.Attribute):
        return _name(node.value) if node.attr in ("text", "span", "name", "si") else node.attr.replace("_", " ")
    if isinstance(node, (ast.Constant, ast.Name)):
        return str(getattr(node, "value", getattr(node, "id", ""))).replace("_", " ")
    if isinstance(node, ast.Subscript):
        return _name(node.slice)
    if isinstance(node, ast.BinOp):
        return _name(node.left)
    return "value"


@dataclass(frozen=True)
class Module:
    """What is found in one module: its calls, the modules that it uses, every name that it uses."""

    calls: tuple
    uses: frozenset
    names: frozenset


@cache
def read() -> dict[str, Module]:
    """Return every module of the package that may speak, read once."""
    code = {name: text for name, text in registers.code_text().items() if not name.startswith(QUIET)}
    return {name: _read_one(name, ast.parse(text), frozenset(code)) for name, text in code.items()}


def _read_one(module: str, tree: ast.Module, known: frozenset) -> Module:
    own, parents, made, used, names = _texts(tree.body), {}, [], set(), set()
    for node in ast.walk(tree):
        parents |= dict.fromkeys(ast.iter_child_nodes(node), node)
        if isinstance(node, ast.Name):
            names.add(node.id)
        elif isinstance(node, ast.Attribute):
            names.add(node.attr)
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("calcs"):
            used |= {node.module, *(f"{node.module}.{name.name}" for name in node.names)}
        elif isinstance(node, ast.Import):
            used |= {name.name for name in node.names}
        elif isinstance(node, ast.Call) and _called(node) in ("Caution", "Refused"):
            made.append(node)
    return Module(tuple(_call(module, node, parents, own) for node in made), frozenset(used) & known, frozenset(names))


def _called(node: ast.Call) -> str:
    return getattr(node.func, "id", getattr(node.func, "attr", ""))


def _call(module: str, node: ast.Call, parents: dict, own: dict) -> Call:
    above, at = [], node
    while at in parents:
        at = parents[at]
        above.append(at)
    inside = next((_texts(ast.walk(n)) for n in above if isinstance(n, ast.FunctionDef)), {})
    return Call(module, node, tuple(above), own | inside)


def calls(wanted: str) -> list[Call]:
    """Return every call of `wanted`, "Caution" or "Refused": modules of calculators in their order, then shared ones."""
    found = [call for module in read().values() for call in module.calls if _called(call.node) == wanted]
    order = list(calculators())
    return sorted(found, key=lambda c: order.index(c.module) if c.module in order else len(order))


def _texts(nodes) -> dict:
    """Return the names that are given a text, and what they are given; a name that is given two things is left out."""
    found: dict = {}
    for node in nodes:
        if not isinstance(node, ast.Assign):
            continue
        for target in node.targets:
            pairs = [(target, node.value)]
            if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                pairs = zip(target.elts, node.value.elts, strict=False)
            for name, value in pairs:
                if isinstance(name, ast.Name):
                    found[name.id] = None if name.id in found else value
    return {name: value for name, value in found.items() if isinstance(value, (ast.JoinedStr, ast.Constant, ast.IfExp))}


@cache
def calculators() -> dict[str, str]:
    """Return the module of each calculator with its name, in the order of the job."""
    return {f"calcs.{room}.{name.replace('-', '_')}": name for name, room in calcs.CALCULATORS.items()}


@cache
def pages_of(module: str, function: str = "") -> tuple[str, ...]:
    """Return the pages whose calculator speaks through a module: its own, or all that use a shared one.

    Args:
        module: the module that speaks.
        function: which of its functions; of a public one only those pages count that name it.
    """
    by_module = calculators()
    if module in by_module:
        return (calcs.calculator(by_module[module]).PAGE,)
    if module == "calcs.form":
        return ("every calculator",)
    found = []
    for start, name in by_module.items():
        used = reached(start)
        named = function.startswith("_") or any(function in read()[other].names for other in used - {module})
        if module in used and named:
            found.append(calcs.calculator(name).PAGE)
    return tuple(found)


@cache
def reached(start: str) -> frozenset[str]:
    """Return a calculator's module and what it uses, by itself or through modules that are no calculators."""
    seen, open_ = {start}, [start]
    while open_:
        for used in read()[open_.pop()].uses - seen:
            seen.add(used)
            if used not in calculators():
                open_.append(used)
    return frozenset(seen)


def module_of(calculator: str) -> str:
    """Return the module of a calculator."""
    return f"calcs.{calcs.CALCULATORS[calculator]}.{calculator.replace('-', '_')}"


def constants_of(calculator: str) -> list[str]:
    """Return the keys of the constants that a calculator and what it uses name, in the order of the register."""
    named = frozenset().union(*(_quoted(module) for module in reached(module_of(calculator))))
    return [key for key in data.all_constants() if key in named]


@cache
def _quoted(module: str) -> frozenset[str]:
    return frozenset(re.findall(r'"([a-z_]+\.[a-z0-9_]+)"', registers.code_text()[module]))
