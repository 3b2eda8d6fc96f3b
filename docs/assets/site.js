// Brings the forms of a page to life: reads what was typed, asks Python, shows the reply. Python decides everything.
(() => {
  const SLOW = 20_000;
  const all = (root, what) => [...root.querySelectorAll(what)];
  const store = {                                        // a browser may refuse to keep anything
    get: (key) => { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
    set: (key, value) => { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } },
    drop: (key) => { try { localStorage.removeItem(key); } catch { /* nothing kept, nothing to drop */ } },
  };

  // ---- reading the form

  const nameOf = (form) => form.dataset.calculator;
  const resultOf = (form) => document.getElementById(`${nameOf(form)}-result`);
  const fieldOf = (form, name) => form.querySelector(`.field[data-field="${CSS.escape(name)}"]`);
  const modeOf = (form) => form.querySelector("[name=mode]:checked")?.value ?? "";

  function inputOf(field) {
    if (field.dataset.kind === "table")
      return all(field, "tbody tr").map((row) => Object.fromEntries(all(row, "[data-column]").map((cell) => [cell.dataset.column, cell.value])));
    const box = field.querySelector("[name]"), unit = field.querySelector("[data-unit-of]"), sense = field.querySelector("[data-sense-of]");
    if (!unit && !sense) return box.whole?.get(box.value) ?? box.value;   // a box may show the name of a file for its text
    return { text: box.value, unit: unit?.value ?? "", ...(sense && { sense: sense.value }) };
  }

  function collect(form) {
    const mode = modeOf(form), inputs = mode ? { mode } : {};
    for (const field of all(form, ".field")) if (asked(field, mode)) inputs[field.dataset.field] = inputOf(field);
    return inputs;
  }

  const asked = (field, mode) => !field.dataset.modes || field.dataset.modes.split("|").includes(mode);
  const plainText = (input) => typeof input === "string" ? input : [input.text, /[a-zµ°%Ω]/i.test(input.text) ? "" : input.unit === "1" ? "" : input.unit,
    { gauge: "gauge", absolute: "abs", "below ambient": "below" }[input.sense]].filter(Boolean).join(" ");
  const asTyped = (form) => Object.fromEntries(Object.entries(collect(form)).filter(([, v]) => v.length !== 0)
    .map(([name, v]) => [name, Array.isArray(v) ? v : plainText(v)]).filter(([, v]) => v !== ""));

  // ---- filling the form

  function put(form, name, value) {
    if (name === "mode") {
      for (const choice of all(form, "[name=mode]")) choice.checked = choice.value === value;
      return true;
    }
    const field = fieldOf(form, name);
    if (!field) return false;
    if (field.dataset.kind === "table") return putRows(field, value);
    const box = field.querySelector("[name]");
    box.value = String(value);
    const unit = field.querySelector("[data-unit-of]"), sense = field.querySelector("[data-sense-of]");
    if (unit) unit.value = /^\s*[-+0-9.]+\s*$/.test(value) && unit.querySelector("[value='1']") ? "1" : "";
    if (sense) sense.value = "";
    return box.tagName !== "SELECT" || box.value === String(value);
  }

  function putRows(field, rows) {
    if (!Array.isArray(rows)) return false;
    field.querySelector("tbody").replaceChildren();
    for (const row of rows.slice(0, 60)) {
      const added = addRow(field);
      for (const cell of all(added, "[data-column]")) cell.value = String(row?.[cell.dataset.column] ?? "");
    }
    return true;
  }

  function addRow(field) {
    const row = field.querySelector("template").content.firstElementChild.cloneNode(true);
    field.querySelector("tbody").append(row);
    return row;
  }

  // The form as it is, for Undo; and back again.
  const snapshot = (form) => all(form, ".field").map((field) => [field, field.dataset.kind === "table" ? inputOf(field)
    : all(field, "input, select, textarea").map((box) => box.value)]).concat([["mode", modeOf(form)], ["touched", new Set(form.touched)]]);
  function restore(form, kept) {
    form.ticket = (form.ticket ?? 0) + 1;
    for (const [field, value] of kept) {
      if (field === "mode") put(form, "mode", value);
      else if (field === "touched") form.touched = value;
      else if (field.dataset.kind === "table") putRows(field, value);
      else all(field, "input, select, textarea").forEach((box, i) => { box.value = value[i]; });
    }
    settle(form);
  }

  function setAll(form, valueOf) {
    form.kept = snapshot(form);
    form.ticket = (form.ticket ?? 0) + 1;                            // an answer still on its way is for other inputs
    for (const field of all(form, ".field"))
      if (field.dataset.kind === "table") putRows(field, valueOf(field) || []);
      else put(form, field.dataset.field, valueOf(field) ?? "");
    form.querySelector("[data-do=undo]").hidden = false;
  }

  // ---- what stands around the boxes

  function showMode(form) {
    const mode = modeOf(form);
    for (const field of all(form, ".field")) field.hidden = !asked(field, mode);
    for (const group of all(form, "details.more, fieldset.part")) group.hidden = all(group, ".field").every((field) => field.hidden);
  }

  function marks(form) {
    for (const field of all(form, ".field")) {
      const mark = field.querySelector(".mark"), touched = form.touched.has(field.dataset.field);
      const from = form.origins?.[field.dataset.field];
      const words = from ?? (touched ? "" : "example" in field.dataset || form.exampleRows.get(field)?.length ? (form.cleared ? "" : "example")
        : "default" in field.dataset ? "default" : "");
      mark.textContent = words;
      mark.hidden = !words;
    }
  }

  function settle(form) { showMode(form); marks(form); }

  // The rows that Python counts: an empty one is none.
  const filled = (field) => all(field, "tbody tr").filter((row) => all(row, "[data-column]").some((cell) => cell.value.trim()));
  const cellOf = (field, cell) => filled(field)[cell[0]]?.querySelector(`[data-column="${CSS.escape(cell[1])}"]`);

  // Words beside a field, and what may have been meant as buttons that fill it.
  function offer(form, name, place, words, problem) {
    place.replaceChildren(problem ? words : "");
    for (const option of problem?.options ?? []) {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: `Use ${option}` });
      button.addEventListener("click", () => {
        const field = fieldOf(form, name), cell = problem.cell && cellOf(field, problem.cell);
        if (cell) cell.value = option; else put(form, name, option);
        changed(form, field);
        (cell || field.querySelector("[name]"))?.focus();            // the button that was pressed goes
        submit(form, { quiet: true });
      });
      place.append(button, " ");
    }
  }

  function complain(form, name, problem, doubt) {
    const field = fieldOf(form, name), place = field?.querySelector(".problem");
    if (!place) return;
    offer(form, name, place, `Error: ${problem?.message} `, problem);
    offer(form, name, field.querySelector(".doubt"), `${doubt?.message} `, doubt);
    field.classList.toggle("wrong", Boolean(problem));
    for (const box of all(field, "[name]")) problem ? box.setAttribute("aria-invalid", "true") : box.removeAttribute("aria-invalid");
    for (const cell of all(field, "[data-column]")) cell.removeAttribute("aria-invalid");
    if (problem?.cell) cellOf(field, problem.cell)?.setAttribute("aria-invalid", "true");
    if (problem) for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  }

  function complainAll(form, problems, summary = "", doubts = {}) {
    for (const field of all(form, ".field")) complain(form, field.dataset.field, problems[field.dataset.field], doubts[field.dataset.field]);
    const list = form.querySelector(".problem-list");
    list.innerHTML = summary;                            // escaped by Python
    list.hidden = !summary;
    document.title = document.title.replace(/^Error: /, "");
    if (summary) document.title = `Error: ${document.title}`;
  }

  const say = (form, words) => { form.querySelector(".status").textContent = words; };

  // ---- the result, and whether it belongs to the inputs on the screen

  function outOfDate(form) {
    const result = resultOf(form);
    if (!result.querySelector(".result-body").firstElementChild || result.dataset.old) return;
    result.dataset.old = "yes";
    result.querySelector(".old-note").hidden = false;
    result.querySelector(".result-body").setAttribute("aria-describedby", `${nameOf(form)}-old`);
    takeAway(form, false);
  }

  function show(form, html) {
    const result = resultOf(form);
    delete result.dataset.old;
    result.querySelector(".old-note").hidden = true;
    result.querySelector(".result-body").removeAttribute("aria-describedby");
    result.querySelector(".result-body").innerHTML = html;   // finished and escaped by Python
    result.hidden = !html;
  }

  function takeAway(form, on) {
    const bar = resultOf(form).querySelector(".take-away");
    bar.hidden = !on;
    document.body.classList.toggle("no-print-result", !on);
  }

  function changed(form, field) {
    form.ticket = (form.ticket ?? 0) + 1;                            // an answer still on its way is for other inputs
    form.touched.add(field?.dataset.field ?? "mode");
    if (form.origins && field) delete form.origins[field.dataset.field];
    form.cleared = false;
    outOfDate(form);
    marks(form);
  }

  // ---- asking

  async function submit(form, { quiet = false } = {}) {
    form.pressed = true;
    const ticket = (form.ticket = (form.ticket ?? 0) + 1);          // a later press overtakes this one
    const waiting = form.dataset.state !== "ready" && setTimeout(() => say(form, "Still loading. Meanwhile the table and the worked example below hold."), SLOW);
    if (waiting) { form.dataset.state = "starting"; say(form, "Getting the calculator ready…"); }
    const request = { do: "work_out", calculator: nameOf(form), inputs: collect(form), touched: [...form.touched],
      root: form.dataset.root, ending: form.dataset.ending, revision: form.dataset.revision, site: form.dataset.site, address: location.href.split("#")[0], today: new Date().toISOString().slice(0, 10), ...form.more };
    try {
      const reply = await calculatorAsk(request);
      if (ticket !== form.ticket || !form.isConnected) return;
      form.dataset.state = "ready";
      receive(form, reply, quiet);
    } catch (error) {
      if (ticket === form.ticket && form.isConnected) failed(form, error, request);
    } finally {
      clearTimeout(waiting);
    }
  }

  function receive(form, reply, quiet) {
    form.reply = reply;
    complainAll(form, reply.problems, reply.summary, reply.doubts);
    for (const [name, words] of Object.entries(reply.reads)) {
      const place = fieldOf(form, name)?.querySelector(".read-as");
      if (place) place.textContent = words;
    }
    show(form, reply.html);
    showParts(form, reply.parts);
    takeAway(form, reply.state === "answered");
    say(form, reply.say);
    form.worked = true;
    form.dataset.answers = Number(form.dataset.answers) + 1;    // for whoever waits for the next answer
    form.dispatchEvent(new CustomEvent("worked", { bubbles: true, detail: reply }));
    if (reply.state === "problems" && !quiet) form.querySelector(".problem-list").focus();
    keepForOffline();
  }

  function failed(form, error, request) {
    console.warn(error);
    form.dataset.state = error.calculation ? "ready" : "failed";
    show(form, "");
    complainAll(form, {});
    takeAway(form, false);
    say(form, error.calculation ? "Something broke inside the calculator; no result. Your inputs are kept."
      : `The calculator could not start. ${location.protocol === "file:" ? "This browser may be too old for pages opened from the disk."
        : navigator.onLine ? "A file may be blocked, or this browser may be too old." : "There is no network, and no copy is kept on this device."} The table below holds. `);
    const place = form.querySelector(".status");
    if (error.calculation) {
      const copy = Object.assign(document.createElement("button"), { type: "button", textContent: "Copy details" });
      copy.addEventListener("click", () => navigator.clipboard?.writeText(JSON.stringify({ page: location.pathname, browser: navigator.userAgent, request, error: String(error) }, null, 1)));
      place.append(" ", copy);
    } else form.querySelector(".work-it-out").textContent = "Try again";
  }

  async function readBack(form, field) {
    if (!field || form.dataset.state !== "ready" || field.dataset.kind === "table") return;
    const reply = await calculatorAsk({ do: "read", calculator: nameOf(form), field: field.dataset.field, input: inputOf(field) }).catch(() => null);
    if (!reply || !form.isConnected) return;
    field.querySelector(".read-as").textContent = reply.read;
    const unit = field.querySelector("[data-unit-of]");
    if (unit && reply.typed_unit) unit.value = "";
    if (reply.read && field.classList.contains("wrong")) complain(form, field.dataset.field);
    if (reply.notes && !form.worked) say(form, reply.read);
  }

  // ---- links, files and other pages

  const address = (form) => `${location.href.split("#")[0]}#in=${encodeURIComponent(JSON.stringify({ schema: 1, revision: form.dataset.revision, inputs: asTyped(form) }))}`;

  function fromAddress(form) {
    if (nameOf(form) === "plan" && location.hash.startsWith("#p=")) { openCode(form, location.hash.slice(1)); return; }
    if (!location.hash.startsWith("#in=")) return;
    const bar = form.querySelector(".form-note");
    try {
      const text = decodeURIComponent(location.hash.slice(4));
      if (text.length > 8000) throw new Error("longer than 8000 characters");
      const state = JSON.parse(text);
      if (state?.schema !== 1 || typeof state.inputs !== "object") throw new Error("not a link of this site");
      const unknown = [];
      setAll(form, () => "");
      for (const [name, value] of Object.entries(state.inputs))
        if ((typeof value === "string" && value.length > 200) || !put(form, name, value)) unknown.push(name.slice(0, 40));
        else form.touched.add(name);
      form.origins = Object.fromEntries(Object.keys(state.from ?? {}).map((name) => [name, String(state.from[name]).slice(0, 80)]));
      bar.textContent = `Filled from a link made with revision ${String(state.revision).slice(0, 6)} of this page (now ${form.dataset.revision}). Check each value.`
        + (unknown.length ? ` Left out: ${unknown.join(", ")}.` : "");
      const from = form.origins;
      furnace.planOpened(form);
      form.origins = from;
      settle(form);
      submit(form, { quiet: true });
    } catch (error) {
      bar.textContent = `The link could not be used: ${error.message}. The example values stand here.`;
    }
  }

  // "Use in …": the figure goes to the page that asks for it, with the name of where it comes from. It is put down before
  // the link is followed; following it stays with browser and theme, for two ways of going there would race.
  function carry(link) {
    const form = document.querySelector("form.calculator"), page = document.querySelector(".page-id")?.dataset;
    const carried = JSON.stringify({ name: link.dataset.use, value: link.dataset.value, from: `from ${page?.id ?? nameOf(form)}, revision ${page?.revision ?? ""}` });
    try { if (self.keepsNothing) throw 0; sessionStorage.setItem("carried", carried); } catch { link.hash = `use=${encodeURIComponent(carried)}`; }   // nothing is kept: it goes in the address
  }

  function fromOtherPage(form) {
    let carried;
    try { carried = JSON.parse(location.hash.startsWith("#use=") ? decodeURIComponent(location.hash.slice(5)) : sessionStorage.getItem("carried")); } catch { return; }
    if (!carried || !put(form, String(carried.name), String(carried.value).slice(0, 200))) return;
    try { sessionStorage.removeItem("carried"); } catch { /* nothing kept */ }
    form.touched.add(carried.name);
    form.origins = { ...form.origins, [carried.name]: String(carried.from).slice(0, 80) };
    outOfDate(form);
    settle(form);
  }

  function download(name, type, text) {
    const link = Object.assign(document.createElement("a"), { download: name, href: URL.createObjectURL(new Blob([text], { type })) });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }
  self.siteDownload = download;

  function button(words, then) {
    const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
    made.addEventListener("click", then);
    return made;
  }

  // One of several ways on; whichever is taken, the bar that offers them goes.
  function way(bar, words, then) { bar.append(button(words, () => { bar.remove(); then(); }), " "); }

  // For the page of the record, whose form is filled from files.
  self.siteForm = { addRow, all, button, changed, fieldOf, outOfDate, put, say, setAll, settle, store, submit };

  async function copy(form, text, said) {
    try { await navigator.clipboard.writeText(text); say(form, said); }
    catch { prompt("This browser does not copy by itself. Copy from here:", text); }
  }

  // ---- the plan: its card on paper, its file

  function printCard(form) {
    document.getElementById("print-sheet")?.remove();
    const sheet = Object.assign(document.createElement("div"), { id: "print-sheet" });
    sheet.append(resultOf(form).querySelector(".run-card").cloneNode(true));
    document.body.append(sheet);
    document.body.classList.add("print-card");
    print();
  }
  addEventListener("afterprint", () => document.body.classList.remove("print-card"));

  async function openPlan(form, file) {
    if (!file) return;
    if (file.size > 5_000_000) return say(form, "The file is larger than 5 MB: no plan and no furnace record is.");
    const reply = await calculatorAsk({ do: "open", kind: "plan", text: await file.text() });
    if (reply.problem) return say(form, reply.problem);
    fillFrom(form, reply, "Opened from a file. Check each value.");
  }

  function fillFrom(form, reply, words) {
    setAll(form, () => "");
    for (const [name, value] of Object.entries(reply.inputs)) { put(form, name, value); form.touched.add(name); }
    form.querySelector(".form-note").textContent = [words, ...reply.notes].join(" ");
    furnace.planOpened(form);
    settle(form);
    submit(form, { quiet: true });
  }

  // The code on a card holds the inputs in few characters, which Python lays out again.
  async function openCode(form, text) {
    const bar = form.querySelector(".form-note");
    bar.textContent = "Reading the code of the card…";
    const reply = await calculatorAsk({ do: "open", kind: "link", text: text.slice(0, 5000) }).catch(() => ({ problem: "The calculator could not start." }));
    if (!form.isConnected) return;
    if (reply.problem) bar.textContent = `${reply.problem} The example values stand here.`;
    else fillFrom(form, reply, "Filled from the code on a card. Check each value.");
  }

  // A draft is kept on the device where that is allowed, and never loaded silently: benches are shared.
  function keepDraft(form) {
    if (nameOf(form) === "plan" && form.touched.size) store.set("draft", { when: new Date().toISOString(), inputs: asTyped(form) });
  }

  function offerDraft(form) {
    const draft = nameOf(form) === "plan" && store.get("draft");
    if (!draft?.inputs) return;
    const bar = Object.assign(document.createElement("p"), { className: "draft", textContent: `Draft from ${draft.when.slice(0, 16).replace("T", " ")} (UTC) on this device: ` });
    way(bar, "Continue", () => {
      setAll(form, () => "");
      for (const [name, value] of Object.entries(draft.inputs)) if (put(form, name, value)) form.touched.add(name);
      furnace.planOpened(form);
      outOfDate(form);
      settle(form);
    });
    way(bar, "Start new", () => {});
    way(bar, "Delete the draft", () => store.drop("draft"));
    form.prepend(bar);
  }

  function showParts(form, parts) {
    all(form, ".part-state").forEach((place, i) => { place.textContent = parts?.[i] ?? ""; });
  }

  // ---- the furnace: furnace.js, with what it needs of this file

  const emptied = (form) => { setAll(form, () => ""); form.touched.clear(); form.origins = {}; form.cleared = true; complainAll(form, {}); show(form, ""); takeAway(form, false); say(form, "The form is empty. Undo brings it back."); settle(form); };
  const furnace = siteFurnace({ all, store, fieldOf, inputOf, collect, put, settle, say, outOfDate, submit, complainAll, download, way, clear: emptied });

  // ---- events

  const doings = {
    "example": (form) => { setAll(form, (field) => field.dataset.kind === "table" ? form.exampleRows.get(field) : field.dataset.example ?? field.dataset.default); put(form, "mode", form.exampleMode); form.touched.clear(); form.origins = {}; form.cleared = false; furnace.exampleBack(form); outOfDate(form); settle(form); },
    "clear": emptied,
    "undo": (form, button) => { restore(form, form.kept); button.hidden = true; outOfDate(form); furnace.undone(form); },
    "open-plan": (form) => form.querySelector(".plan-file").click(),
    "new-furnace": furnace.startEmpty,
    "open-other": (form) => form.querySelector(".other-file").click(),
    "compare": furnace.compare,
    "open-furnace": (form) => form.querySelector(".furnace-file").click(),
    "example-furnace": furnace.forget,
    "add-row": (form, button) => { const field = button.closest(".field"); addRow(field).querySelector("[data-column]").focus(); changed(form, field); },
    "row-out": (form, button) => { const field = button.closest(".field"); button.closest("tr").remove(); committed(form, field); },
    "row-up": (form, button) => moveRow(form, button, -1),
    "row-down": (form, button) => moveRow(form, button, 1),
  };

  function moveRow(form, button, by) {
    const row = button.closest("tr"), other = by < 0 ? row.previousElementSibling : row.nextElementSibling;
    if (!other) return;
    by < 0 ? other.before(row) : other.after(row);
    button.focus();
    committed(form, button.closest(".field"));
  }

  function committed(form, field) {
    changed(form, field);
    keepDraft(form);
    readBack(form, field);
    if (form.worked || form.pressed) submit(form, { quiet: true });
  }

  function hydrate() {
    for (const form of all(document, "form.calculator[data-state=static]")) {
      form.dataset.state = "waiting";
      form.dataset.answers = 0;
      form.touched = new Set();
      form.exampleMode = modeOf(form);
      form.exampleRows = new Map(all(form, ".rows").map((field) => [field, inputOf(field)]));
      form.addEventListener("submit", (event) => { event.preventDefault(); submit(form); });
      form.addEventListener("input", (event) => {
        const field = event.target.closest(".field"), sense = field?.querySelector("[data-sense-of]");
        // The example's sense belongs to the example's number: whoever types another one says the sense anew.
        if (sense && event.target.matches("input") && !form.touched.has(field.dataset.field)) sense.value = "";
        if (field) changed(form, field);
      });
      form.addEventListener("change", (event) => whenPointerIsUp(() => {
        if (event.target.name === "mode") { settle(form); committed(form, null); return; }
        if (event.target.classList.contains("plan-file")) { openPlan(form, event.target.files[0]); event.target.value = ""; return; }
        if (event.target.classList.contains("furnace-file")) { furnace.open(form, event.target.files[0]); event.target.value = ""; return; }
        if (event.target.classList.contains("other-file")) { furnace.openOther(form, event.target.files[0]); event.target.value = ""; return; }
        const field = event.target.closest(".field");
        if (!field) return;
        furnace.leaveExample(form, field);
        const waiting = furnace.gasChanged(form, field);
        waiting ? waiting.then(() => committed(form, field)) : committed(form, field);
      }));
      form.addEventListener("click", (event) => {
        const button = event.target.closest("[data-do]"), to = event.target.closest("[data-to]");
        if (button) doings[button.dataset.do]?.(form, button);
        if (to) { event.preventDefault(); const field = fieldOf(form, to.dataset.to); (field?.querySelector("[aria-invalid]") ?? field?.querySelector("[name], [data-column]") ?? field?.querySelector("button") ?? field)?.focus(); }
      });
      const result = resultOf(form);
      result.addEventListener("click", (event) => {
        const use = event.target.closest("[data-use]"), button = event.target.closest("[data-take]");
        if (use) carry(use);
        if (button) ({ link: () => copy(form, address(form), "Link copied."), text: () => copy(form, form.reply.copy + "\n" + address(form), "Text copied."),
          card: () => printCard(form), "save-furnace": () => furnace.save(form, false), "keep-furnace": () => furnace.save(form, true), save: () => download(form.reply.file_name, "application/json", form.reply.file),
          csv: () => download(`${nameOf(form)}-${new Date().toISOString().slice(0, 10)}.csv`, "text/csv;charset=utf-8", form.reply.csv), print: () => print() })[button.dataset.take]();
      });
      if (self.keepsNothing || !store.set("probe", 1)) form.prepend(Object.assign(document.createElement("p"), { className: "small no-store",
        textContent: "This browser keeps nothing between pages: save plan and furnace as files, and open them again." }));
      store.drop("probe");
      furnace.begin(form);
      settle(form);
      offerDraft(form);
      fromOtherPage(form);
      fromAddress(form);
      if (all(form, "[name]").some((box) => box.type !== "radio" && box.defaultValue !== undefined && box.value !== box.defaultValue)) outOfDate(form);
      whenIdle(() => calculatorAsk({ do: "prepare", calculator: nameOf(form) }).then(() => { if (form.dataset.state === "waiting") form.dataset.state = "ready"; },
        () => { if (form.dataset.state === "waiting") { form.dataset.state = "failed"; say(form, "The calculator could not start. Press the button to try again; the table and the worked example below hold."); } }));
    }
  }

  // Leaving a box by pressing a button: what the change writes must not move the button away under the finger.
  let down = false;
  const queued = [];
  const whenPointerIsUp = (then) => down ? queued.push(then) : then();
  addEventListener("pointerdown", () => { down = true; }, true);
  for (const up of ["pointerup", "pointercancel"]) addEventListener(up, () => { down = false; queued.splice(0).forEach((then) => then()); }, true);

  const whenIdle = (then) => ("requestIdleCallback" in self ? requestIdleCallback(then, { timeout: 1500 }) : setTimeout(then, 200));

  // ---- the page around the form

  // A link to a place on the page that one is on: the theme would fetch the page again, and what was typed would be gone.
  addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href*='#']"), url = link && new URL(link.href);
    if (!url || event.button || event.ctrlKey || event.metaKey || event.shiftKey || url.pathname !== location.pathname || !document.querySelector("form.calculator")) return;
    const place = url.hash && document.getElementById(decodeURIComponent(url.hash.slice(1)));
    if (!place) return;
    event.preventDefault();
    event.stopPropagation();
    for (let fold = place.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    history.replaceState(history.state, "", url.hash);
    place.scrollIntoView();
    if (place.tabIndex < 0) place.tabIndex = -1;
    place.focus({ preventScroll: true });
  }, true);

  function dress() {
    hydrate();
    for (const place of all(document, ".offline-copy"))
      (self.caches?.keys?.() ?? Promise.resolve([])).then((keys) => { place.textContent = keys.length ? "This device holds a copy for use without a network." : "This device holds no copy yet; one is made after the first answer of a calculator."; }, () => {});
  }
  addEventListener("beforeprint", () => {
    for (const place of all(document, ".printed-on")) place.textContent = new Date().toISOString().slice(0, 16).replace("T", " ");
    for (const fold of all(document, "article details:not([open])")) { if (fold.classList.contains("more")) continue; fold.open = true; fold.dataset.opened = "yes"; }
  });
  addEventListener("afterprint", () => { for (const fold of all(document, "details[data-opened]")) { fold.open = false; delete fold.dataset.opened; } });

  if (self.document$) document$.subscribe(dress); else addEventListener("DOMContentLoaded", dress);
})();
