// Gathers the chosen pages into one document to print. What stands in it was written by the build; nothing is typed but the purpose.
(() => {
  const all = (root, what) => [...root.querySelectorAll(what)];
  const make = (name, text = "", attributes = {}) => Object.assign(document.createElement(name), { textContent: text }, attributes);
  const fromDisk = () => location.protocol === "file:";
  const DROPPED = "form, button, script, template, .headerlink, .take-away, .old-note, .status, .without-script, .print-note, .page-id ~ .update";

  // A page as it stands on this site, without what only a screen can use; its ids get its own name before them.
  async function body(part) {
    const address = new URL(part.dataset.href, location.href);
    const reply = await fetch(address);
    if (!reply.ok) throw new Error(`${part.dataset.page} could not be read`);
    const page = new DOMParser().parseFromString(await reply.text(), "text/html").querySelector("article");
    for (const gone of all(page, DROPPED)) gone.remove();
    for (const fold of all(page, "details")) fold.open = true;
    for (const place of all(page, "[id]:not(svg *)")) place.id = `${part.dataset.page}-${place.id}`;
    for (const link of all(page, "a[href]")) {
      const href = link.getAttribute("href");
      link.setAttribute("href", href.startsWith("#") ? `#${part.dataset.page}-${href.slice(1)}` : new URL(href, address).href);
    }
    return all(page, ":scope > *").map((child) => document.importNode(child, true));
  }

  // A table of one column: its head is repeated by the printer on every sheet of the page.
  function sheet(head, children) {
    const table = make("table", "", { className: "pack-sheet" });
    table.setAttribute("role", "presentation");
    table.createTHead().insertRow().insertCell().textContent = head;
    table.createTBody().insertRow().insertCell().append(...children);
    return table;
  }

  function cover(choice, parts) {
    const purpose = choice.querySelector("#pack-purpose").value.trim();
    const list = make("table", "", { className: "pack-list" }), head = list.createTHead().insertRow();
    for (const words of ["Page", "Title", "Revision", "Status", "Check code", "Approval"]) head.append(make("th", words, { scope: "col" }));
    const rows = list.createTBody();
    for (const part of parts) rows.append(part.content.querySelector("tr").cloneNode(true));
    return sheet(`Review pack, ${choice.dataset.site}`, [make("h1", "Review pack: Chamber Furnace Practice"),
      make("p", `From ${choice.dataset.site}, put together on ${new Date().toISOString().slice(0, 10)}. ${parts.length} pages.`),
      make("p", `Purpose: ${purpose || "_".repeat(50)}`), list,
      make("p", "A pack is a copy for reading. The project publishes revisions and approves nothing; the lab that uses them decides.")]);
  }

  async function put(choice, pack, say) {
    const chosen = new Set(all(choice, "[name=page]:checked").map((box) => box.value));
    const parts = all(choice, "template[data-page]").filter((part) => chosen.has(part.dataset.page));
    pack.replaceChildren();
    pack.hidden = !parts.length;
    document.body.classList.toggle("pack-made", Boolean(parts.length));
    choice.querySelector("[data-pack=print]").hidden = !parts.length;
    if (!parts.length) return say("No page is chosen.");
    pack.append(cover(choice, parts));
    for (const [i, part] of parts.entries()) {
      say(`Reading ${i + 1} of ${parts.length} …`);
      const added = part.content.querySelector("div").cloneNode(true);
      const page = fromDisk() ? [make("h2", part.dataset.head), make("p", "Print this page by itself and put it here: "), ] : await body(part);
      if (fromDisk()) page[1].append(make("a", part.dataset.page, { href: part.dataset.href }));
      if (!pack.isConnected) return;
      pack.append(sheet(part.dataset.head, [...page, added]));
    }
    pack.append(sheet("Review pack: decision", [choice.querySelector("template[data-end]").content.cloneNode(true)]));
    say(fromDisk() ? `The pack holds cover, open points, constants and decision for ${parts.length} pages. A copy from the disk cannot read one page `
      + "from another: print each page by itself, and put it where the pack says." : `The pack holds ${parts.length} pages. It stands below; print it from here.`);
  }

  function hydrate() {
    document.body.classList.remove("pack-made");
    for (const choice of all(document, ".pack-choice:not([data-live])")) {
      choice.dataset.live = "yes";
      const pack = choice.nextElementSibling, say = (words) => { choice.querySelector(".status").textContent = words; };
      choice.querySelector("form").addEventListener("submit", (event) => event.preventDefault());
      choice.addEventListener("click", async (event) => {
        const what = event.target.closest("[data-pack]")?.dataset.pack;
        if (["all", "none", "due"].includes(what))
          for (const box of all(choice, "[name=page]")) box.checked = what === "all" || (what === "due" && "due" in box.dataset);
        if (what === "make") await put(choice, pack, say).catch((error) => say(`The pack is not whole: ${error.message}.`));
        if (what === "print") print();
      });
    }
  }
  if (self.document$) document$.subscribe(hydrate); else addEventListener("DOMContentLoaded", hydrate);
})();
