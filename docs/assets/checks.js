// Re-runs the outside values in the reader's own browser, one calculator after the other.
(() => {
  const all = (root, what) => [...root.querySelectorAll(what)];

  async function run(page) {
    const say = (words) => { page.querySelector(".status").textContent = words; };
    const names = page.dataset.names.split(" "), began = new Date(), report = [];
    let versions = {}, wrong = 0, passed = 0, control = false;
    page.dataset.running = "yes";
    buttons(page, true);
    say("Getting the calculator ready…");
    for (const [i, name] of names.entries()) {
      if (!page.dataset.running || !page.isConnected) { say(`Cancelled after ${i} of ${names.length} calculators.`); break; }
      try {
        const reply = await calculatorAsk({ do: "check", calculator: name });
        versions = reply;
        for (const row of reply.rows) {
          fill(page, row);
          report.push(row);
          row.as_it_should ? passed++ : wrong++;
          if (name === "control") control = !row.passed;
        }
      } catch (error) {
        wrong++;
        report.push({ key: name, got: String(error), difference: "", passed: false, as_it_should: false });
      }
      say(`${i + 1} of ${names.length} calculators compared.`);
    }
    const whole = page.dataset.running;
    delete page.dataset.running;
    buttons(page, false);
    if (!whole) return;
    const seconds = ((new Date() - began) / 1000).toFixed(1);
    const words = !control ? "The comparison itself is broken: the row that is altered on purpose agrees. Trust none of these results."
      : wrong ? `${wrong} results are not as they should be; ${passed} are.` : `All ${passed} results are as they should be; the row altered on purpose differs, as it must.`;
    say(words);
    page.querySelector(".run-report").textContent = `Run on ${began.toISOString().slice(0, 16).replace("T", " ")} in ${seconds} s. Package ${versions.version}, Python ${versions.python}, browser ${navigator.userAgent}.`;
    page.report = [words, page.querySelector(".run-report").textContent, ...report.map((r) => `${r.key}: ${r.as_it_should ? "as it should be" : "NOT as it should be"}; expected ${r.expected}, got ${r.got}, difference ${r.difference}`)].join("\n");
    page.csv = ["key,expected,got,difference,passed,as it should be", ...report.map((r) => [r.key, r.expected, r.got, r.difference, r.passed, r.as_it_should].map(cell).join(","))].join("\r\n");
    for (const what of ["copy", "csv", "print"]) page.querySelector(`[data-run=${what}]`).hidden = false;
  }

  const cell = (value) => `"${String(value ?? "").replace(/^[=+@]/, "'$&").replaceAll('"', '""')}"`;

  function fill(page, row) {
    const place = all(page, "[data-check]").find((span) => span.dataset.check === row.key);
    if (!place) return;
    const cells = place.closest("tr").children, at = [...cells].indexOf(place.closest("td"));
    place.textContent = row.as_it_should ? (row.passed ? "agrees" : "differs, as it must") : "not as it should be";
    cells[at + 1].textContent = row.got;
    cells[at + 2].textContent = row.difference || "–";
  }

  function buttons(page, running) {
    page.querySelector("[data-run=start]").disabled = running;
    page.querySelector("[data-run=cancel]").hidden = !running;
  }

  // The look-up of the register: what a printed sheet says of itself against the table of this copy.
  function lookUp(form) {
    const typed = form.querySelector("input").value.trim(), place = form.querySelector("[role=status]");
    const found = typed.toUpperCase().match(/^([A-Z]+-\d\d|HOME)\s*,?\s*(?:REV(?:ISION)?\.?\s*)?(\d+)$/);
    const row = found && all(document, "table.register tbody tr").find((r) => r.cells[0].textContent.trim() === found[1]);
    if (!found) place.textContent = "Type the id and the revision of the sheet, such as VAC-04 revision 1.";
    else if (!row) place.textContent = `${found[1]} is not a page of this copy: unknown.`;
    else {
      const now = Number(row.cells[3].textContent), had = Number(found[2]), status = row.cells[4].textContent.trim();
      place.textContent = status === "withdrawn" ? `${found[1]} is withdrawn: take the sheet down.` : had === now ? `${found[1]} revision ${had} is current.`
        : had < now ? `${found[1]} revision ${had} is superseded by revision ${now}: take the sheet down.` : `${found[1]} revision ${had} is newer than this copy, which has ${now}.`;
    }
  }

  function hydrate() {
    for (const form of all(document, "form.look-up:not([data-live])")) {
      form.dataset.live = "yes";
      form.addEventListener("submit", (event) => { event.preventDefault(); lookUp(form); });
    }
    for (const page of all(document, ".checks-run:not([data-live])")) {
      page.dataset.live = "yes";
      page.addEventListener("click", (event) => {
        const what = event.target.closest("[data-run]")?.dataset.run;
        if (what === "start") run(page);
        if (what === "cancel") delete page.dataset.running;
        if (what === "copy") navigator.clipboard?.writeText(page.report);
        if (what === "csv") siteDownload(`checks-${new Date().toISOString().slice(0, 10)}.csv`, "text/csv;charset=utf-8", page.csv);
        if (what === "print") print();
      });
    }
  }
  if (self.document$) document$.subscribe(hydrate); else addEventListener("DOMContentLoaded", hydrate);
})();
