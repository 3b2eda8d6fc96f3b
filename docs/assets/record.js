// After the run: opens plan, record, log and photographs into the form, lays the plan's steps beside the readings,
// and reads several records for the page of trends. What a file holds is read by Python; here it is fetched and shown.
(() => {
  const LARGEST = 5_000_000, LARGEST_PICTURE = 40_000_000;
  const { all, button, fieldOf, store } = siteForm;
  const boxOf = (form, name) => fieldOf(form, name).querySelector("[name]");
  const whenIdle = (then) => ("requestIdleCallback" in self ? requestIdleCallback(then, { timeout: 3000 }) : setTimeout(then, 400));

  // A box shows what a file is; asked for its value it gives the whole text, line ends and all.
  function hold(form, name, shown, text) {
    const box = boxOf(form, name);
    (box.whole ??= new Map()).set(shown, text);
    box.value = shown;
    form.touched.add(name);
  }

  async function openText(form, text, shown) {
    const reply = await calculatorAsk({ do: "open_record", text }).catch(() => null);
    if (!reply) return siteForm.say(form, "The calculator could not start, so the file was not read. Nothing on this page has changed.");
    if (reply.problem) return siteForm.say(form, `${reply.problem} Nothing on this page has changed.`);
    siteForm.setAll(form, () => "");
    for (const field of all(form, ".field")) form.touched.add(field.dataset.field);
    form.origins = {};
    hold(form, "plan_file", shown, text);
    for (const [name, value] of Object.entries(reply.inputs)) if (name !== "actuals") siteForm.put(form, name, value);
    if (reply.plan_code) siteForm.put(form, "plan_code", reply.plan_code);
    layOut(form, reply.steps, reply.inputs.actuals ?? []);
    form.more = { asked: reply.asked };
    form.querySelector(".form-note").textContent = [`Opened: ${reply.about}.`, ...reply.notes, reply.log && `Kept of the log: ${reply.log}`,
      reply.closed && "It is closed: a change needs a reason and makes a new version."].filter(Boolean).join(" ");
    siteForm.outOfDate(form);
    siteForm.settle(form);
    if (reply.plan_code) return siteForm.submit(form, { quiet: true });
    siteForm.say(form, "The steps of the plan stand below. Type the code that is on the paper, then the readings.");
    boxOf(form, "plan_code").focus();
  }

  // One row for each step of the plan, filled where there are readings; a step may have been read twice.
  function layOut(form, steps, readings) {
    form.steps = new Map(steps.map((row) => [row.step, row.words]));
    const rows = steps.flatMap(({ step }) => { const found = readings.filter((row) => row.step === step); return found.length ? found : [{ step }]; });
    siteForm.put(form, "actuals", rows);
    nameRows(form);
  }

  function nameRows(form) {
    for (const row of all(fieldOf(form, "actuals"), "tbody tr")) {
      const step = row.querySelector("[data-column=step]"), words = form.steps?.get(step.value.trim()) ?? "";
      let place = row.querySelector(".step-words");
      if (!place) step.after(place = Object.assign(document.createElement("span"), { className: "step-words" }));
      if (place.textContent !== words) place.textContent = words;
      for (const cell of all(row, "[data-column]")) {
        const label = `${cell.closest("td").dataset.label}${cell === step ? "" : `, step ${step.value}`}`;
        if (cell.getAttribute("aria-label") !== label) cell.setAttribute("aria-label", label);
      }
    }
  }

  async function openFile(form, file) {
    if (file.size > LARGEST) return siteForm.say(form, "The file is larger than 5 MB: no plan and no record is. Nothing on this page has changed.");
    await openText(form, await file.text(), file.name);
  }

  async function openLog(form, file) {
    if (file.size > LARGEST) return siteForm.say(form, "The log is larger than 5 MB. Cut it to the hours of this run, keep the whole file, and open the part.");
    const bytes = await file.arrayBuffer();
    let text, how = "";
    try { text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes); }
    catch { text = new TextDecoder("windows-1252").decode(bytes); how = ", not in UTF-8: the hash is that of its text"; }
    hold(form, "log", `${file.name}: ${file.size} bytes${how}`, text);
    siteForm.put(form, "log_name", file.name.slice(0, 120));
    done(form, "log_name");
  }

  async function addPhotographs(form, files) {
    const field = fieldOf(form, "photographs"), left = [];
    for (const file of files) {
      const data = file.size <= LARGEST_PICTURE && await new Promise((then) => {
        const reader = new FileReader();
        reader.onload = () => then(reader.result.split(",")[1] ?? "");
        reader.onerror = () => then(null);
        reader.readAsDataURL(file);
      });
      const reply = typeof data === "string" && await calculatorAsk({ do: "fingerprint", data }).catch(() => null);
      if (!reply?.sha256) { left.push(file.name); continue; }
      const row = siteForm.addRow(field);
      row.querySelector("[data-column=file]").value = file.name.slice(0, 120);
      row.querySelector("[data-column=sha256]").value = reply.sha256;
    }
    done(form, "photographs");
    siteForm.say(form, left.length ? `Not read: ${left.join(", ").slice(0, 200)}.` : "Names and hashes are in the form; the pictures stay where they are.");
  }

  function done(form, name) {
    siteForm.changed(form, fieldOf(form, name));
    if (form.worked) siteForm.submit(form, { quiet: true });
  }

  function decide(form, button) {
    const row = siteForm.addRow(fieldOf(form, "deviations"));
    row.querySelector("[data-column=step]").value = button.dataset.step;
    row.querySelector("[data-column=what]").value = button.dataset.what;
    row.querySelector("[data-column=decision]").value = button.dataset.decide;
    const why = row.querySelector("[data-column=why]");
    if (button.dataset.decide === "accepted") return done(form, "deviations");
    siteForm.changed(form, fieldOf(form, "deviations"));
    why.focus();
  }

  // ---- the buttons that open files

  function opener(form, name, words, className, then, more = {}) {
    const input = Object.assign(document.createElement("input"), { type: "file", hidden: true, className, ...more });
    input.setAttribute("aria-label", words);
    input.addEventListener("change", (event) => { event.stopPropagation(); const files = [...input.files]; input.value = ""; if (files.length) then(files); });
    const line = Object.assign(document.createElement("p"), { className: "open-buttons" });
    line.append(button(words, () => input.click()), " ", input);
    (fieldOf(form, name).querySelector(".entry") ?? fieldOf(form, name).querySelector(".row-buttons")).before(line);
    return line;
  }

  function dressRecord(form) {
    form.dataset.record = "yes";
    const example = boxOf(form, "plan_file").value;
    for (const [name, rows] of [["plan_file", 2], ["log", 3]]) boxOf(form, name).rows = rows;
    const asExample = () => { hold(form, "plan_file", "The plan of the invented workshop", example); form.touched.delete("plan_file"); };
    asExample();
    const line = opener(form, "plan_file", "Open the plan or a record", "record-source", ([file]) => openFile(form, file), { accept: ".json,application/json" });
    if (store.get("draft")?.inputs) line.append(button("Use the plan kept on this device", () =>
      openText(form, JSON.stringify({ format: "furnace-run", version: 1, inputs: store.get("draft").inputs }), `Plan kept on this device, ${store.get("draft").when?.slice(0, 16).replace("T", " ")} UTC`)));
    opener(form, "log", "Open the log file", "record-log", ([file]) => openLog(form, file), { accept: ".csv,.txt,text/csv,text/plain" });
    opener(form, "photographs", "Add photographs", "record-photographs", (files) => addPhotographs(form, files), { accept: "image/*", multiple: true });
    boxOf(form, "plan_file").addEventListener("change", (event) => {
      if (!event.target.whole?.has(event.target.value) && event.target.value.trim()) openText(form, event.target.value, event.target.value.trim().startsWith("{") ? "Plan as pasted" : event.target.value);
    });
    new MutationObserver(() => nameRows(form)).observe(fieldOf(form, "actuals").querySelector("tbody"), { childList: true });
    form.addEventListener("input", (event) => { if (event.target.matches("[data-column=step]")) nameRows(form); });
    form.addEventListener("click", (event) => { if (event.target.closest("[data-do=example]")) { asExample(); stepsOfExample(form, example); } });
    const result = document.getElementById("record-result");
    result.addEventListener("click", (event) => {
      const asked = event.target.closest("[data-asked]"), decided = event.target.closest("[data-decide]");
      if (asked) { form.more = { asked: [...(form.more?.asked ?? []), ...asked.dataset.asked.split("\n")] }; siteForm.submit(form, { quiet: true }); }
      if (decided) decide(form, decided);
      // What was saved is what a later change is compared with.
      if (event.target.closest("[data-take=save]")) { hold(form, "plan_file", `${form.reply.file_name}, as saved`, form.reply.file); siteForm.put(form, "change_reason", ""); }
    });
    whenIdle(() => stepsOfExample(form, example));
  }

  const stepsOfExample = (form, text) => calculatorAsk({ do: "open_record", text }).then((reply) => {
    if (!reply.steps || form.steps) return;
    form.steps = new Map(reply.steps.map((row) => [row.step, row.words]));
    nameRows(form);
  }, () => {});

  // ---- from run to run

  async function readRecords(tool, files) {
    const say = (words) => { tool.querySelector(".status").textContent = words; };
    const large = files.filter((file) => file.size > LARGEST);
    say("Reading the records…");
    try {
      const texts = await Promise.all(files.filter((file) => file.size <= LARGEST).map(async (file) => ({ name: file.name, text: await file.text() })));
      const reply = await calculatorAsk({ do: "trends", files: texts });
      tool.querySelector(".trends-result").innerHTML = reply.html;   // finished and escaped by Python
      tool.csv = reply.csv;
      for (const made of all(tool, "[data-trends]")) made.hidden = !reply.runs;
      say(reply.say + (large.length ? ` Larger than 5 MB and left out: ${large.map((file) => file.name).join(", ").slice(0, 200)}.` : ""));
    } catch { say("The calculator could not start, or broke. No record was changed; try again."); }
  }

  function dressTrends(tool) {
    tool.dataset.live = "yes";
    tool.querySelector("input[type=file]").addEventListener("change", (event) => { if (event.target.files.length) readRecords(tool, [...event.target.files]); });
    tool.addEventListener("click", (event) => {
      const what = event.target.closest("[data-trends]")?.dataset.trends;
      if (what === "csv") siteDownload(`runs-${new Date().toISOString().slice(0, 10)}.csv`, "text/csv;charset=utf-8", tool.csv);
      if (what === "print") print();
    });
  }

  function dress() {
    for (const form of all(document, "form[data-calculator=record]:not([data-record])")) dressRecord(form);
    for (const tool of all(document, ".trends-tool:not([data-live])")) dressTrends(tool);
  }
  if (self.document$) document$.subscribe(dress); else addEventListener("DOMContentLoaded", dress);
})();
