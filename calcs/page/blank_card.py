"""The run card without a plan, for the drawer: the same sheets, made when the site is built, printed from the page."""

from calcs.data import table as data_table
from calcs.page import card_blocks as blocks
from calcs.page.card_room import SCALES, WIDTH, Block, Pieces, arranged, text_height
from calcs.page.markup import tag, text

PAGE = "RUN-08"
CELLS = (("Run", 24 * "_"), ("Day", 10 * "_"), ("Furnace record", 12 * "_"))
FOOT = f"{PAGE}, blank run card: nothing on it is checked. Uncontrolled copy unless signed. Printed "


class _Blank(dict):
    """Every figure that a plan would put into the words of a step is a line to write on."""

    def __missing__(self, name):
        return "____"


WORDS = _Blank(gas="________", how="Heater off; cool", rest="")


def html(site: str) -> str:
    """Return the two sides of a blank card; `site` is the revision of the site, for the foot."""
    texts = data_table("run/blank_card.toml")
    foot = tag("p", text(f"{site}. {FOOT}"), tag("span", class_="printed-on"), class_="card-foot")
    for scale in SCALES:
        pieces = _pieces(texts, site, scale)
        found = arranged(pieces)
        if len(found.sides) == 2 and found.readings >= 6:
            break
    return blocks.sheets(pieces, found, _head, foot, scale, draft=True)


def _head(page: int, pages: int) -> str:
    return blocks.head((*CELLS, ("Page", f"{page} of {pages}")), data_table("run/blank_card.toml")["status"])


def _pieces(texts: dict, site: str, k: float) -> Pieces:
    warned = tag("p", tag("strong", text(texts["warning"])), class_="card-verdict")
    wish = [
        Block(tag("p", text(line), class_="card-block"), text_height(line, WIDTH, blocks.BODY * k, blocks.HAND))
        for line in texts["wish"]
    ]
    rows = step_rows(texts)
    return Pieces(
        top=[
            Block(warned, text_height(texts["warning"] + 20 * "_", WIDTH - 4, blocks.BODY * k, blocks.CLOSE, 2.0)),
            *wish,
            blocks.cautions(_cautions(texts["cautions"]), k),
            *blocks.facts("before", WIDTH, k),
        ],
        rows=[Block(blocks.row_html(n, row), blocks.row_height(row, k)) for n, row in enumerate(rows, 1)],
        picture=None,
        beside=None,
        below=blocks.facts("after", WIDTH, k),
        end=[blocks.deviations(k), blocks.sign_offs(draft=False), blocks.emergency(emergencies(texts), k)],
        every=blocks.head_height((*CELLS, ("Page", "1 of 2"), ("", texts["status"])), k)
        + blocks.foot_height(f"{site}. {FOOT}", k),
        first=text_height(blocks.STOP_RULES, WIDTH, blocks.SMALL * k, blocks.CLOSE, 1.5),
        table_head=blocks.TABLE_HEAD * k,
        reading_head=blocks.reading_head(WIDTH, k),
    )


def step_rows(texts: dict) -> list[dict]:
    """Return the usual steps: words and valves of every card, lines to write on for figures."""
    words, valves = data_table("run/steps.toml"), data_table("run/card.toml")["valves"]
    rows = []
    for step in texts["step"]:
        row = words[step["words"]]
        do = row["do"].format_map(WORDS) + (f" — set {row['set'].format_map(WORDS)}" if row["set"] else "")
        rows.append({"do": do, "valves": valves[step["state"]], "expect": step["expect"],
                     "otherwise": row["otherwise"].format_map(WORDS), "time": ""})  # fmt: skip
    return blocks.referred_back(rows, ("valves", "otherwise"))


def _cautions(whens) -> list[tuple]:
    return [
        (row["word"], row["hazard"], row["harm"], row["action"])
        for row in data_table("run/cautions.toml")["caution"]
        if row["when"] in whens
    ]


def emergencies(texts: dict) -> list[dict]:
    """Return the events with the words for a chamber of which nothing is known."""
    return [
        dict(row) | {"do": row["do"].format(shut=texts["gone"])} for row in data_table("run/emergency.toml")["event"]
    ]


__all__ = ["emergencies", "html", "step_rows"]
