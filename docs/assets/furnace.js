// Furnace records on a page: filled in, opened, revised, compared, kept on this device. Python decides; the form is site.js's.
self.siteFurnace = (site) => {
  const { all, store, fieldOf, inputOf, collect, put, settle, say, outOfDate, submit, complainAll, download, way, clear } = site;
  const LIMIT = "maximum_temperature", IDENTITY = ["furnace_id", "record_revision", "record_review_due"], AFRESH = ["record_change", "record_changed_by"];
  const ABSENT = "not in the record";
  const nameOf = (form) => form.dataset.calculator, own = (form) => nameOf(form) === "furnace";
  const today = () => new Date().toISOString().slice(0, 10);
  const page = () => document.querySelector(".page-id")?.dataset;
  const fieldsOf = (form) => all(form, ".field").filter((field) => own(form) || "furnace" in field.dataset || IDENTITY.includes(field.dataset.field));
  const isPlain = (thing) => thing !== null && typeof thing === "object" && !Array.isArray(thing);
  const valueOf = (record, name) => { const value = Object.hasOwn(record, name) ? record[name] : ""; return typeof value === "string" || Array.isArray(value) ? value : ""; };

  function kept() {
    const record = store.get("furnace"), history = store.get("furnace-history");
    return isPlain(record) ? { record, history: Array.isArray(history) ? history : [] } : null;
  }
  const keep = (furnace) => store.set("furnace", furnace.record) && store.set("furnace-history", furnace.history);

  // ---- what a record gives to a form

  function give(form, field, value, origin) {
    const name = field.dataset.field, none = value.length === 0, usual = none && "default" in field.dataset;
    put(form, name, field.dataset.kind === "table" ? (Array.isArray(value) ? value : []) : Array.isArray(value) ? "" : usual ? field.dataset.default : value);
    form.touched.add(name);
    form.fromRecord.add(name);
    form.origins = { ...form.origins, [name]: usual ? "default" : none ? ABSENT : origin };
  }

  // What the record does not hold becomes empty: no value of the example stays behind in a form that says whose it is.
  function use(form, furnace) {
    form.furnace = furnace;
    form.fromRecord = new Set();
    const id = String(valueOf(furnace.record, "furnace_id")).slice(0, 40);
    for (const field of fieldsOf(form)) {
      const name = field.dataset.field;
      if (AFRESH.includes(name)) { put(form, name, ""); form.touched.add(name); continue; }
      give(form, field, name === LIMIT ? "" : valueOf(furnace.record, name), `from ${id}`);
    }
    if (own(form)) form.querySelector(".form-note").textContent = "A record that was opened. Change what changed, say what and who, check it, and save it as the next revision.";
    named(form, `${id}, revision ${String(valueOf(furnace.record, "record_revision")).slice(0, 6)}`);
    settle(form);
    outOfDate(form);
    return ask(form, true);
  }

  function named(form, said, example = false) {
    const line = form.querySelector(".furnace-line");
    if (!line) return;
    line.querySelector(".furnace-name").textContent = said;
    line.querySelector(".mark").hidden = !example;
    line.querySelector("[data-do=example-furnace]").hidden = !kept();
    for (const fold of all(form, "details.from-furnace > summary"))
      fold.firstChild.textContent = fold.firstChild.textContent.replace(/^From furnace .*?(?=: \d+ values)/, () => `From furnace ${said}`);
  }

  function note(form, ...words) {
    const place = form.querySelector(".furnace-notes");
    if (!place) return;
    place.textContent = words.filter(Boolean).join(" ");
    place.hidden = !place.textContent;
  }

  // The limit of the gas is the record's while nobody typed another.
  const follows = (form) => fieldOf(form, LIMIT) && (form.fromRecord?.has(LIMIT) ? LIMIT in (form.origins ?? {}) : !form.touched.has(LIMIT));

  async function ask(form, fill = false) {
    const turn = (form.furnaceTurn = (form.furnaceTurn ?? 0) + 1);
    const inputs = Object.fromEntries(["gas", "mixture"].map((name) => [name, fieldOf(form, name)]).filter(([, field]) => field && !field.hidden).map(([name, field]) => [name, inputOf(field)]));
    const reply = await calculatorAsk({ do: "furnace_fill", calculator: nameOf(form), furnace: form.furnace ?? null, other: form.other ?? null, inputs, today: today() }).catch(() => null);
    if (!reply || turn !== form.furnaceTurn || !form.isConnected) return;
    if (fill && form.furnace) named(form, reply.said);
    if (fill && form.furnace && !reply.usable) note(form, "What this device keeps as a furnace cannot be read. Open the furnace file again.");
    else note(form, form.openedNotes, reply.overdue, follows(form) ? reply.note : "");
    if (follows(form)) {
      const example = !form.furnace;
      if (example) { put(form, LIMIT, reply.limit); form.origins = { ...form.origins, ...(reply.limit ? {} : { [LIMIT]: ABSENT }) }; if (reply.limit) delete form.origins[LIMIT]; }
      else give(form, fieldOf(form, LIMIT), reply.limit, `from ${valueOf(form.furnace.record, "furnace_id").slice(0, 40)}`);
      form.ticket = (form.ticket ?? 0) + 1;
      outOfDate(form);
      settle(form);
    }
    shelve(form, reply);
    if (form.pending && fill) await take(form);
  }

  // Another gas has another limit. Until Python has looked it up the old one must not stand there.
  function gasChanged(form, field) {
    if (!["gas", "mixture"].includes(field.dataset.field) || !fieldOf(form, LIMIT)) return null;
    if (!follows(form)) { if (inputOf(fieldOf(form, LIMIT)).text) note(form, "The gas changed. The highest temperature was typed: check that it holds for this gas."); return null; }
    put(form, LIMIT, "");
    return ask(form);
  }

  // ---- opening

  async function read(form, file, kind = "furnace") {
    if (file.size > 5_000_000) { say(form, "The file is larger than 5 MB: no plan and no furnace record is."); return null; }
    const reply = await calculatorAsk({ do: "open", kind, text: await file.text(), kept: form.furnace ?? kept() }).catch(() => ({ problem: "The file could not be read: the calculator did not start." }));
    if (reply.problem) { say(form, reply.problem); return null; }
    return reply;
  }

  async function open(form, file) {
    const reply = file && await read(form, file);
    if (!reply) return;
    form.openedNotes = reply.notes.join(" ");
    if (!own(form) && !keep(reply.furnace)) form.openedNotes += " This browser keeps nothing: open the file again on the next page.";
    say(form, `Opened: ${reply.said}.`);
    if (form.planned) { note(form, form.openedNotes); await differs(form, reply.furnace); return; }
    await use(form, reply.furnace);
    if (form.worked) submit(form, { quiet: true });
  }

  async function openOther(form, file) {
    const reply = file && await read(form, file);
    if (!reply) return;
    form.other = reply.furnace;
    await ask(form);
    const menu = form.querySelector("[data-compare=two]"), newest = all(menu, "option").find((option) => option.value.startsWith("other "));
    if (newest) menu.value = newest.value;
    say(form, `Opened to compare with: ${reply.said}. ${reply.notes.join(" ")}`);
  }

  // ---- the record's own page

  function shelve(form, { choices, history }) {
    if (!own(form) || !choices) return;
    for (const menu of all(form, "[data-compare]")) {
      const before = menu.value;
      menu.replaceChildren(...choices.map(([key, words]) => new Option(words, key)));
      if (choices.some(([key]) => key === before)) menu.value = before;
    }
    form.querySelector(".history").innerHTML = history;                // escaped by Python
  }

  async function compare(form) {
    const [one, two] = ["one", "two"].map((which) => form.querySelector(`[data-compare=${which}]`).value);
    const reply = await calculatorAsk({ do: "furnace_compare", one, two, inputs: collect(form), furnace: form.furnace ?? null, other: form.other ?? null });
    if (reply.problem) return say(form, reply.problem);
    const place = form.querySelector(".compared");
    place.innerHTML = reply.html;                                       // escaped by Python
    place.focus();
  }

  async function save(form, onDevice) {
    const reply = await calculatorAsk({ do: "furnace_save", inputs: collect(form), touched: [...form.touched], furnace: form.furnace ?? null, other: form.other ?? null, today: today() });
    if (reply.problem) return say(form, reply.problem);
    complainAll(form, reply.problems ?? {}, reply.summary);
    if (reply.problems) { say(form, reply.say); form.querySelector(".problem-list").focus(); return; }
    const stored = onDevice && keep(reply.furnace);
    form.pending = null;
    await use(form, reply.furnace);
    await submit(form, { quiet: true });
    if (!onDevice) download(reply.file_name, "application/json", reply.file);
    say(form, `${reply.say} ${!onDevice ? "The file goes to your downloads." : stored ? "Every page on this device uses it from now on." : "This browser keeps nothing. Save a file instead."}`);
  }

  function begin(form) {
    form.fromRecord = new Set();
    form.exampleName = form.querySelector(".furnace-name")?.textContent;
    const furnace = kept();
    if (furnace) use(form, furnace);
    if (own(form)) arrive(form);
  }

  function startEmpty(form) {
    form.leftFurnace = form.furnace;
    form.furnace = null;
    form.fromRecord = new Set();
    form.openedNotes = "";
    clear(form);
    named(form, "a new record");
    note(form);
    form.querySelector(".form-note").textContent = "An empty record. Type what is known; what nobody knows stays empty.";
    ask(form).then(() => form.pending && take(form));
  }

  function undone(form) { if (form.leftFurnace) { form.furnace = form.leftFurnace; form.leftFurnace = null; named(form, `${valueOf(form.furnace.record, "furnace_id").slice(0, 40)}, revision ${String(valueOf(form.furnace.record, "record_revision")).slice(0, 6)}`); ask(form); } }

  // ---- values from other pages: the fit of HT-02, a furnace typed into a plan

  function send(values) {
    try { sessionStorage.setItem("for-furnace", JSON.stringify({ values, from: `from ${page()?.id ?? ""}, revision ${page()?.revision ?? ""}` })); } catch { /* the page opens all the same, empty-handed */ }
  }

  function fromPlan(form) {
    const typed = fieldsOf(form).map((field) => field.dataset.field).filter((name) => form.touched.has(name) && !(name in (form.origins ?? {})));
    const inputs = collect(form);
    return Object.fromEntries([...typed, ...(typed.includes(LIMIT) ? ["gas"] : [])].map((name) => [name, inputs[name]]));
  }

  function arrive(form) {
    let sent = null;
    try { sent = JSON.parse(sessionStorage.getItem("for-furnace")); sessionStorage.removeItem("for-furnace"); } catch { return; }
    if (!isPlain(sent) || !isPlain(sent.values) || !Object.keys(sent.values).length) return;
    form.pending = { values: sent.values, from: String(sent.from).slice(0, 60) };
    if (!form.furnace) take(form);
  }

  async function take(form) {
    const { values, from } = form.pending;
    const reply = await calculatorAsk({ do: "furnace_carried", values, furnace: form.furnace ?? null }).catch(() => null);
    if (!reply || !form.isConnected) return;
    const names = Object.keys(reply.values);
    for (const name of names) if (put(form, name, reply.values[name])) { form.touched.add(name); form.origins = { ...form.origins, [name]: from }; }
    outOfDate(form);
    settle(form);
    note(form, `${names.length} values ${from} stand in the form.`, form.furnace ? "Say what changed and who, check, and save." : "Open the furnace's file, or start an empty record: they are put in there.");
  }

  // ---- a plan and the record it was made with

  // A plan that was opened keeps its own furnace values. Where the record is another one by now, it is said and asked.
  function planOpened(form) {
    if (nameOf(form) !== "plan") return;
    form.planned = true;
    note(form);                                                         // what it said was of the record, not of this plan
    form.furnaceTurn = (form.furnaceTurn ?? 0) + 1;
    form.origins = {};
    form.fromRecord = new Set();
    const text = (name) => { const value = inputOf(fieldOf(form, name)); return String(value?.text ?? value ?? "").slice(0, 40); };
    named(form, `${text("furnace_id")}, revision ${text("record_revision")}`);
    differs(form, kept());
  }

  async function differs(form, furnace) {
    form.querySelector(".furnace-differs")?.remove();
    if (!furnace) return;
    const reply = await calculatorAsk({ do: "furnace_differs", inputs: collect(form), furnace }).catch(() => null);
    if (!reply?.said || !form.isConnected) return;
    const bar = Object.assign(document.createElement("div"), { className: "furnace-differs", tabIndex: -1 });
    bar.setAttribute("role", "group");
    bar.setAttribute("aria-label", "Furnace record");
    bar.append(Object.assign(document.createElement("p"), { textContent: `${reply.said} The plan stands with its own values until you choose; check it again.` }));
    way(bar, reply.take, async () => { form.planned = false; await use(form, furnace); submit(form); });
    way(bar, "Keep the plan's values", () => submit(form));
    form.prepend(bar);
    bar.focus();
  }

  // ---- the example furnace

  // It is one piece. Whoever replaces one open value of it has another furnace: the folded values that have a
  // default go back to it, and the page says so.
  function leaveExample(form, field) {
    if (!("furnace" in field.dataset) || form.furnace || form.leftExample || field.closest("details.from-furnace")) return;
    const gone = all(form, "details.from-furnace .field").filter((other) => "default" in other.dataset && !form.touched.has(other.dataset.field));
    for (const other of gone) { put(form, other.dataset.field, other.dataset.default); form.touched.add(other.dataset.field); form.origins = { ...form.origins, [other.dataset.field]: "default" }; }
    form.leftExample = true;
    if (!gone.length) return;
    const line = form.querySelector(".furnace-line .furnace-said");
    line.append(` You changed one of its values. These went back to their defaults, since the example's no longer fit: ${gone.map((other) => `${other.querySelector("label").textContent} ${other.dataset.default}`).join("; ")}.`);
    settle(form);
  }

  function exampleBack(form) {
    form.furnace = null;
    form.fromRecord = new Set();
    form.leftExample = form.planned = false;
    if (form.exampleName) named(form, form.exampleName, true);
    note(form);
  }

  function forget() { store.drop("furnace"); store.drop("furnace-history"); location.reload(); }

  // Put down before anything follows the link, which stays with browser and theme.
  document.addEventListener("click", (event) => {
    const put = event.target.closest?.("[data-put]"), to = event.target.closest?.("a.to-furnace");
    if (put) send(JSON.parse(put.dataset.put));
    if (to) send(fromPlan(to.closest("form")));
  }, true);

  return { begin, open, openOther, save, compare, startEmpty, undone, gasChanged, leaveExample, exampleBack, planOpened, forget };
};
