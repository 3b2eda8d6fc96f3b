"""The process drawing: a furnace with its gas line, outlet and pump, in ten states of a run.

Which word stands beside which valve is data (run/valves.toml, run/process_drawing.toml); this module knows
where each part is drawn. A valve is two triangles point to point, an instrument a circle with its letter, in the
spirit of the diagram standards ISO 10628, ISO 14617 and ISO 3753 (known, sources not looked up); the sketch is ours.
"""

from functools import partial

from calcs.data import table
from calcs.page import axes, svg
from calcs.page.markup import table as html_table
from calcs.page.markup import tag, text
from calcs.picture import Arrow, Circle, Drawing, Line, Poly, Rect, Table, Text

FILE = "run/process_drawing.toml"
WIDTH, HEIGHT, FONT = 440, 612, svg.FONT
LONG, HIGH = 14, 9  # half of a valve along its pipe, and across
LABELS = {"inlet": "inlet valve", "outlet": "outlet valve"}  # where the word of the data is short
PARTS = ("regulator", "stop valve", "flow meter", "inlet", "heater", "outlet", "back-pressure regulator", "pump valve",
         "air valve", "gauge valve", "relief valve")  # fmt: skip
# Valves: middle, whether the pipe runs upright, and what it is besides a plain valve.
VALVES = {
    "regulator": (30, 486, True, "set"), "stop valve": (30, 430, True, ""), "inlet": (100, 312, False, ""),
    "outlet": (350, 262, False, ""), "back-pressure regulator": (415, 392, True, "set"), "pump valve": (220, 410, True, ""),
    "relief valve": (30, 130, True, "spring"), "air valve": (156, 130, True, ""), "gauge valve": (290, 130, True, ""),
}  # fmt: skip
# Names: place of the first line, where the text is held, and its lines; the word follows below.
NAMES = {
    "regulator": (52, 482, "start", ("regulator",)), "stop valve": (52, 426, "start", ("stop valve",)),
    "flow meter": (52, 366, "start", ("flow meter",)), "inlet": (8, 246, "start", ("inlet valve",)),
    "heater": (222, 290, "middle", ("heater",)), "outlet": (316, 292, "start", ("outlet valve",)),
    "back-pressure regulator": (396, 392, "end", ("back-pressure", "regulator")),
    "pump valve": (200, 406, "end", ("pump valve",)), "relief valve": (48, 126, "start", ("relief valve",)),
    "air valve": (174, 126, "start", ("air valve",)), "gauge valve": (306, 126, "start", ("gauge valve",)),
}  # fmt: skip
ROOM = {"gauge valve": 134, "outlet": 112, "heater": 150}  # how wide a word may be before it is broken into lines
NARROW = 122  # the same for every other part
# Pipes: who drives gas through them, their ends; the last of each carries the arrow head.
PIPES = {
    "supply": ((30, 520, 30, 500), (30, 472, 30, 444), (30, 416, 30, 386), (30, 354, 30, 312), (30, 312, 86, 312),
               (114, 312, 142, 312)),
    "outlet": ((300, 262, 336, 262), (364, 262, 415, 262), (415, 262, 415, 378), (415, 406, 415, 556)),
    "pump": ((220, 356, 220, 396), (220, 424, 220, 450), (220, 484, 220, 510), (220, 550, 220, 598)),
    "air": ((220, 192, 156, 192), (156, 192, 156, 144), (156, 116, 156, 64)),
    "relief": ((156, 192, 30, 192), (30, 192, 30, 144), (30, 116, 30, 40)),
    "gauges": ((220, 192, 400, 192), (290, 192, 290, 144), (290, 116, 290, 76), (400, 192, 418, 192), (418, 192, 418, 202)),
    "chamber": ((220, 234, 220, 192),),
}  # fmt: skip
MOVES = {
    "supply": "from the cylinder into the chamber",
    "outlet": "from the chamber through the outlet to the outdoors",
    "pump": "from the chamber through the pump to the outdoors",
    "air": "through the air valve until the pressures are equal",
}


def states() -> list[dict]:
    """Return the ten states in the order of a run, as the data file has them."""
    return table(FILE)["state"]


def words(state: dict) -> dict[str, str]:
    """Return the word of every part in a state: position of a valve, setting of a meter, heater."""
    shown = table("run/valves.toml")[state["words"]]["words"]
    return table(FILE)["always"] | shown | state["own"]


def acted_on(state: dict) -> set[str]:
    """Return the parts that somebody changes in a state, or has to look after when the power is lost."""
    return {step["part"] for step in state["order"] if "part" in step} | set(state.get("follows", ()))


def flowing(state: dict) -> set[str]:
    """Return the pipes in which gas moves, as the words of the valves have it."""
    now = words(state)
    supply = now["inlet"].startswith("open")
    found = {"supply"} if supply else set()
    if now["outlet"].startswith("must") or (supply and now["outlet"] == "open"):
        found.add("outlet")
    if now["pump valve"] == "open":
        found.add("pump")
    if now["air valve"].startswith("open"):
        found.add("air")
    return found


def sentence(state: dict) -> str:
    """Return the point of the picture: which valves are open."""
    opened = [LABELS.get(part, part) for part in PARTS if words(state).get(part, "").startswith("open")]
    first, last = ", ".join(opened[:-1]), opened[-1] if opened else ""
    said = f"open are {first} and {last}" if first else f"only the {last} is open" if last else "every valve is shut"
    return state.get("sentence", f"{state['title']}: {said}")


def description(state: dict) -> str:
    """Return what is where, every word, and where gas moves."""
    said = "; ".join(f"{LABELS.get(part, part)} {words(state)[part]}" for part in PARTS)
    moves = "; ".join(MOVES[pipe] for pipe in MOVES if pipe in flowing(state)) or "nowhere"
    return (
        "At the left gas comes up from the cylinder through regulator, stop valve and flow meter to the inlet valve. In the "
        "middle the chamber with heater, load, control thermocouple TC, load thermocouple TL, and the door at its right. From "
        "there the outlet valve, the back-pressure regulator and the oxygen sensor O lead outdoors. Below, pump valve, trap and "
        "pump. Above, relief valve, air valve, gauge valve with the vacuum gauge V, and the absolute pressure gauge P. "
        f"Now: {said}. Gas moves: {moves}."
    )


def drawing(state: dict) -> Drawing:
    """Return the picture of a state with the table of its words."""
    now, moving, marked = words(state), flowing(state), acted_on(state)
    before = next((words(other) for other in states() if other["name"] == state["after"]), {})
    shapes = [shape for name, pipes in PIPES.items() for shape in _pipe(name, pipes, moving)]
    shapes += _chamber() + _equipment()
    for part, (x, y, upright, kind) in VALVES.items():
        shapes += _valve(x, y, upright, kind, now[part])
    for part in PARTS:
        shapes += _name(part, now[part], part in marked)
    rows = [
        (LABELS.get(part, part), now[part], before.get(part, "–"), "yes" if part in marked else "no") for part in PARTS
    ]
    heads = ("Part", "Word now", "Word before", "Marked with a dot")
    caption = f"Words in the state “{state['title']}”"
    return Drawing(sentence(state), description(state), (0, 0, WIDTH, HEIGHT), shapes, Table(caption, heads, rows))


def html(state: dict) -> str:
    """Return the figure of a state with the order of its actions beside it."""
    key = f"process-{state['name']}"
    steps = tag("ol", *(tag("li", text(step["say"])) for step in state["order"]))
    order = tag("div", tag("p", tag("strong", text("In this order"))), steps, class_="process-order")
    return tag("div", order, svg.picture_html(drawing(state), key), class_="process")


def words_line(state: dict) -> str:
    """Return the words of a state in one paragraph, for a sheet that has no room for the drawing."""
    said = " · ".join(f"{LABELS.get(part, part)} {words(state)[part]}" for part in PARTS if "regulator" not in part)
    return tag("p", tag("strong", text(f"Valves, “{state['title']}”: ")), text(f"{said}."), class_="valve-words")


def matrix() -> str:
    """Return the table of every part in every state, with the states of the card that have no drawing."""
    found = [(state["title"], words(state), acted_on(state)) for state in states()]
    for name, near in table(FILE)["near"].items():
        base = next(state for state in states() if state["name"] == near["drawing"])
        found.append((f"{near['title']} (no drawing)", words(base) | table("run/valves.toml")[name]["words"], set()))
    rows = [[text(title), *(_cell(now[part], part in marked) for part in PARTS)] for title, now, marked in found]
    heads = [text("State"), *(text(LABELS.get(part, part).capitalize()) for part in PARTS)]
    return html_table("Which word stands at which part in which state", heads, rows, "valve-matrix")


def _cell(word: str, marked: bool) -> str:
    return tag("strong", text(f"●\u00a0{word}")) if marked else text(word)


def _pipe(name: str, pipes: tuple, moving: set) -> list:
    """Return the lines of one pipe: thick and with a head where gas moves, thin where it stands."""
    moves = name in moving or (name == "chamber" and "air" in moving)
    style = "thick" if moves else "thin"
    shapes = [Line(*ends, style) for ends in pipes]
    if name in moving:
        shapes[-1] = Arrow(*pipes[-1], style)
    if name == "air" and moves:  # gas goes out, or air comes in: whichever pressure is higher
        x, y, x_end, y_end = pipes[1]
        shapes[1] = Arrow(x_end, y_end, x, y, style)
    if name == "relief":
        shapes[-1] = Arrow(*pipes[-1], style)  # the way it would go
    return shapes


def _valve(x: float, y: float, upright: bool, kind: str, word: str) -> list:
    """Return a valve: filled with a bar across when shut; in outline, the pipe running through, when open."""
    shut = word.startswith("shut")
    style = "filled" if shut else "dashed" if word.startswith(("as it", "ask")) else "outline"
    turn = (lambda a, b: (x + b, y + a)) if upright else (lambda a, b: (x + a, y + b))
    ends = [(-LONG, -HIGH), (-LONG, HIGH), (LONG, -HIGH), (LONG, HIGH)]
    shapes = [Poly([turn(*ends[0]), turn(0, 0), turn(*ends[1])], style),
              Poly([turn(*ends[2]), turn(0, 0), turn(*ends[3])], style)]  # fmt: skip
    if shut:
        shapes.append(Line(*turn(0, -HIGH - 5), *turn(0, HIGH + 5), "outline"))
    elif kind == "":
        shapes.append(Line(*turn(-LONG, 0), *turn(LONG, 0), "dashed" if style == "dashed" else "outline"))
    if kind == "set":  # a dome on a stem: set once, it finds its own opening
        away = 1 if upright else -1
        dome = [(0, away * 12), (-6, away * 12), (-5, away * 16), (0, away * 18), (5, away * 16), (6, away * 12)]
        shapes += [
            Line(*turn(0, 0), *turn(0, away * 12), "outline"),
            Poly([turn(*point) for point in dome], "outline"),
        ]
    if kind == "spring":  # held shut by a spring alone
        coil = [(0, 0), (0, -9), (-5, -12), (5, -16), (-5, -20), (5, -24)]
        shapes.append(Poly([turn(*point) for point in coil], "outline", closed=False))
    return shapes


def _chamber() -> list:
    """Return the chamber with its door, heater, load and thermocouples."""
    zigzag = [(160 + 12 * k, 248 if k % 2 else 264) for k in range(11)]
    return [
        Rect(142, 234, 158, 122, "outline"), Rect(300, 282, 8, 70, "filled"), Text(304, 370, "door"),
        Poly(zigzag, "outline", closed=False),
        Rect(190, 322, 62, 26, "shaded"), Text(221, 341, "load", "middle"),
        Line(142, 278, 168, 278, "outline"), Circle(168, 278, 3, "filled"), Text(148, 298, "TC"),
        Line(300, 340, 252, 340, "outline"), Circle(252, 340, 3, "filled"), Text(262, 334, "TL"),
    ]  # fmt: skip


def _equipment() -> list:
    """Return what is neither pipe nor valve, with its name."""
    return [
        Rect(14, 524, 32, 78, "outline"), Rect(24, 514, 12, 10, "outline"), Text(56, 570, "cylinder"),
        Circle(30, 370, 16, "outline"), Text(30, 376, "F", "middle"),
        Rect(205, 450, 30, 34, "hatched"), Text(196, 472, "trap", "end"),
        Circle(220, 530, 20, "outline"), Poly([(208, 540), (232, 540), (220, 514)], "outline"), Text(190, 536, "pump", "end"),
        Text(232, 596, "outdoors"),
        Line(400, 470, 415, 470, "thin"), Circle(385, 470, 15, "outline"), Text(385, 476, "O", "middle"),
        Text(360, 468, "oxygen", "end"), Text(360, 488, "sensor", "end"), Text(400, 548, "outdoors", "end"),
        Circle(290, 60, 16, "outline"), Text(290, 66, "V", "middle"), Text(314, 66, "vacuum gauge"),
        Circle(418, 218, 16, "outline"), Text(418, 224, "P", "middle"), Text(398, 222, "pressure gauge", "end"),
        Text(42, 50, "outdoors"), Text(146, 84, "room air", "end"),
    ]  # fmt: skip


def _name(part: str, word: str, marked: bool) -> list:
    """Return the name of a part and, below it, its word: in bold with a dot where somebody acts on it."""
    x, y, anchor, lines = NAMES[part]
    shapes = [Text(x, y + 20 * k, line, anchor) for k, line in enumerate(lines)]
    y += 20 * len(lines)
    style, room = ("strong", 12) if marked else ("plain", 0)
    for k, line in enumerate(axes.wrap(word, ROOM.get(part, NARROW) - room, FONT, marked)):
        wide = axes.text_width(line, FONT, marked) * 0.88  # the measure is generous; the dot stays near the word
        place = x + room if anchor == "start" else x + room / 2 if anchor == "middle" else x
        shapes.append(Text(place, y + 20 * k, line, anchor, style))
        if marked and k == 0:
            left = {"start": x, "middle": place - wide / 2 - room, "end": x - wide - room}[anchor]
            shapes.append(Circle(left + 4, y - 5, 4, "filled"))
    return shapes


PICTURES = (
    {f"process-{state['name']}": partial(html, state) for state in states()}
    | {f"valves-{state['name']}": partial(words_line, state) for state in states()}
    | {"process-matrix": matrix}
)
