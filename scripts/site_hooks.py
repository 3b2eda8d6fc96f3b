"""MkDocs hooks: from a Markdown page to a working page.

A page says in its front matter which calculator it carries and marks places with lines such as `[[calculator]]`.
What fills them is written by `page_parts`, from the same package that answers in the browser. Whatever is wrong
(a name, a missing field of the front matter, a leftover mark) stops the build and names the page.
"""

import base64
import hashlib
import html
import json
import re
import sys
from pathlib import Path
from urllib.parse import urlsplit

from latex2mathml.converter import convert
from markdown.extensions.toc import slugify
from mkdocs.exceptions import PluginError

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))
from scripts import approvals, content_code, front_matter, glossary, page_parts, revisions, runtime_files  # noqa: E402

FORMULA = re.compile(r'<(span|div) class="arithmatex">\\([(\[])(.*?)\\[)\]]</\1>', re.DOTALL)
INLINE = re.compile(r"<script(?![^>]*\bsrc=)(?![^>]*application/)[^>]*>(.*?)</script>", re.DOTALL)
MARK = re.compile(r"^\[\[([a-z -]+)\]\]\s*$", re.MULTILINE)
PLACE = re.compile(r"<!--place:([a-z -]+)-->")
CITE = re.compile(r"\[@([a-z0-9-]+)\]")
CAUTION = re.compile(r'(<div class="admonition (danger|warning|caution|notice)">\s*<p class="admonition-title">)')
FIRST_SCREEN = re.compile(r'(<h2 id="short-answer">.*?)(<h2 id="work-it-out">.*?)<!--result-->', re.DOTALL)
NO_STORAGE = (ROOT / "scripts/runtime/no-storage.js").read_text(encoding="utf-8")

serving = False  # `mkdocs serve` rebuilds while one writes: then nothing may be kept on the device


def on_startup(command, dirty):
    global serving
    serving = command == "serve"


def on_config(config):
    page_parts.edition = page_parts.Edition(served=bool(config["site_url"]))
    config["copyright"] = page_parts.edition.footer
    return config


def on_files(files, config):
    """Read every page's front matter first: home, register and links need all of them."""
    page_parts.pages = front_matter.read_all(ROOT / "docs")
    page_parts.approved = approvals.read(approvals.FILE, {page.id for page in page_parts.pages.values()})
    return files


def on_page_markdown(markdown, page, config, files):
    meta = page_parts.pages[page.file.src_uri]
    cited = list(dict.fromkeys(CITE.findall(markdown)))
    page_parts.check_sources(meta, cited)
    markdown = CITE.sub(lambda m: page_parts.citation(cited.index(m[1]) + 1, m[1]), markdown)
    if "[[sources]]" not in markdown and cited:
        raise PluginError(f"{page.file.src_uri}: cites sources but has no [[sources]] mark")
    meta.cited = cited
    return MARK.sub(lambda m: f"<!--place:{m[1]}-->\n", markdown)


def on_page_content(content, page, config, files):
    meta = page_parts.pages[page.file.src_uri]
    links = page_parts.links_from(page.url)
    try:
        content = PLACE.sub(lambda m: page_parts.fill(m[1], meta, links), content)
    except LookupError as trouble:
        raise PluginError(f"{page.file.src_uri}: {trouble}") from trouble
    if left := re.search(r"\[\[[^\]]*\]\]|\[@[^\]]*\]", content):
        raise PluginError(f"{page.file.src_uri}: leftover mark {left[0]}")
    content = FORMULA.sub(lambda m: formula(html.unescape(m[3]), block=m[2] == "["), content)
    content = CAUTION.sub(
        lambda m: m[1] if f"{m[2].upper()}: " in content[m.end() : m.end() + 20] else f"{m[1]}{m[2].upper()}: ", content
    )
    if page.file.src_uri != "start/words.md":
        words = glossary.terms(lambda head: slugify(head, "-"))
        content = glossary.linked(content, words, links.to("start/words"))
    addresses = {p.id: links.to(p.address) for p in page_parts.pages.values() if p.address}
    content = glossary.ids_linked(content, addresses, meta.id)
    # One screen of a laptop: short answer and cautions beside the form.
    content = FIRST_SCREEN.sub(r'<div class="first-screen"><div>\1</div><div>\2</div></div>', content, count=1)
    front_matter.check_signal_word(meta, content)
    passing = (page_parts.edition.footer, page_parts.edition.revision)
    meta.check_code = content_code.of(meta, page.markdown, content, passing)
    return page_parts.dressed(content, meta, links)


def formula(latex, block):
    """Return a formula as MathML; a displayed one in a box that scrolls where a phone is too narrow for it."""
    if not block:
        return convert(latex)
    return (
        f'<div class="formula" tabindex="0" role="region" aria-label="Formula">{convert(latex, display="block")}</div>'
    )


def on_post_page(output, page, config):
    output = with_storage(with_help_link(output, page, config))
    if not config["site_url"]:
        return output  # pages from disk have no host of their own to name in a policy
    return output.replace("<head>", "<head>" + policy(output) + early_start(page), 1)


def early_start(page):
    """Let the interpreter begin in its worker while the page is still being laid out."""
    if not page_parts.pages[page.file.src_uri].calculator:
        return ""
    return f'<script src="{page_parts.links_from(page.url).root}assets/engine.js" data-start async></script>'


def on_post_template(output, template_name, config):
    """The page for a wrong address has no source of its own: it gets header and policy here."""
    if template_name != "404.html":
        return output
    links = page_parts.Links(
        urlsplit(config["site_url"]).path if config["site_url"] else "", page_parts.links_from("").ending
    )
    output = with_storage(with_link(output, links.to("safety/gone-wrong")))
    return output.replace("<head>", "<head>" + policy(output), 1) if config["site_url"] else output


def with_help_link(output, page, config):
    """Put the way to SAF-07 into the header of the page."""
    return with_link(output, page_parts.links_from(page.url).to("safety/gone-wrong"))


def with_storage(output):
    """Put what stands in for a refused storage before the first script of the theme, which would stop at it."""
    return output.replace("<head>", f"<head><script>{NO_STORAGE}</script>", 1)


def with_link(output, href):
    at = output.find('<form class="md-header__option"')
    if at < 0:
        raise PluginError("the theme's header has changed: no place for the link to SAF-07")
    link = f'<a class="help-now" href="{href}">Something wrong?</a>'
    return output[:at] + link + output[at:]


def policy(output):
    """Return the content security policy of a page: our own files, the scripts written in it, WebAssembly."""
    sums = {base64.b64encode(hashlib.sha256(s.encode()).digest()).decode() for s in INLINE.findall(output)}
    script = " ".join(["'self'", "'wasm-unsafe-eval'", *(f"'sha256-{s}'" for s in sorted(sums))])
    rules = (
        f"default-src 'self'; script-src {script}; worker-src 'self' blob:; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data:; object-src 'none'; base-uri 'self'; form-action 'self'"
    )
    return f'<meta http-equiv="Content-Security-Policy" content="{html.escape(rules)}">'


def on_post_build(config):
    revisions.check(page_parts.pages, revisions.read())
    site = Path(config["site_dir"])
    assets = site / "assets"
    runtime_files.maths_font(assets)
    page_parts.write_registers(assets / "registers")
    at = "review/{}/index.html" if config["site_url"] else "review/{}.html"
    page_parts.fill_codes(site / at.format("register"))
    page_parts.fill_changes(site / at.format("changes"))
    page_parts.fill_pack(site / at.format("pack"))
    page_parts.fill_sources(site / at.format("sources"))
    if config["site_url"]:
        runtime_files.served(assets / "run")
        write_service_worker(site)
    else:
        runtime_files.from_disk(assets / "run")
        runtime_files.search_from_disk(assets)


def write_service_worker(site):
    """Fill in the list of files with their hashes; while one writes, a worker that takes itself away."""
    if serving:
        text = "self.addEventListener('install', () => self.skipWaiting()); self.addEventListener('activate', () => self.registration.unregister());"
        (site / "sw.js").write_text(text)
        return
    kept = {}
    for path in sorted(site.rglob("*")):
        name = path.relative_to(site).as_posix()
        if path.is_file() and name != "sw.js" and not name.endswith((".map", ".gz")):
            kept[name.removesuffix("index.html") if name.endswith("index.html") else name] = hashlib.sha256(
                path.read_bytes()
            ).hexdigest()[:16]
    version = hashlib.sha256(json.dumps(kept).encode()).hexdigest()[:12]
    text = (ROOT / "scripts/runtime/sw.js").read_text(encoding="utf-8")
    for blank, filled in (('"VERSION"', json.dumps(version)), ("{/*FILES*/}", json.dumps(kept))):
        if blank not in text:
            raise PluginError(f"sw.js has no place for {blank}")
        text = text.replace(blank, filled)
    (site / "sw.js").write_text(text, encoding="utf-8")
