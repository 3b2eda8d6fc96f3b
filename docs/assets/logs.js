// Long logs: a file, or what is pasted, goes to Python in slices, with progress and Cancel, and never stands in the box.
(() => {
  const SLICE = 262_144, SHORT = 100_000;       // characters or bytes; what is shorter may stand in the box
  const start = Date.now().toString(36);
  let ticket = 0;                               // a later log, or Cancel, overtakes the one that is being read

  // What a log is read from: its size, and a way to the next slice.
  const fromText = (text) => ({ size: text.length, slice: async (at) => text.slice(at, at + SLICE), encoding: async () => {} });
  function fromFile(file) {
    let decoder;
    return {
      size: file.size,
      encoding: async () => { decoder = new TextDecoder(encodingOf(new Uint8Array(await file.slice(0, SLICE).arrayBuffer()))); },
      slice: async (at) => decoder.decode(await file.slice(at, at + SLICE).arrayBuffer(), { stream: at + SLICE < file.size }),
    };
  }

  function encodingOf(bytes) {
    if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] && bytes[1] === 0)) return "utf-16le";
    if ((bytes[0] === 0xfe && bytes[1] === 0xff) || (bytes[0] === 0 && bytes[1])) return "utf-16be";
    try { new TextDecoder("utf-8", { fatal: true }).decode(bytes, { stream: true }); return "utf-8"; } catch { return "windows-1252"; }
  }

  async function take(field, source, name) {
    const mine = ++ticket, place = field.querySelector(".log-progress"), box = field.querySelector("textarea");
    const say = (words) => { place.textContent = words; };
    running(field, true);
    say("Getting the calculator ready…");
    try {
      await source.encoding();
      let token = "", reply;
      for (let at = 0; at === 0 || at < source.size; at += SLICE) {
        const text = source.size > 0 ? await source.slice(at) : "";
        if (mine !== ticket || !field.isConnected) return;
        const done = Math.min(at + SLICE, source.size);
        reply = await calculatorAsk({ do: "log_part", token, text, name, start, size: source.size, done, last: done >= source.size });
        if (mine !== ticket || !field.isConnected) return;
        token = reply.token;
        say(reply.say);
        if (reply.gone || reply.reference) break;
      }
      if (!reply.reference) return;
      box.value = reply.reference;
      box.dispatchEvent(new Event("input", { bubbles: true }));
      box.form.requestSubmit();
    } catch (error) {
      console.warn(error);
      say("The log could not be read: the calculator did not answer, or the file was taken away. Choose it again.");
    } finally {
      if (mine === ticket) running(field, false);
    }
  }

  function running(field, on) {
    field.querySelector("[data-log=cancel]").hidden = !on;
    field.querySelector("[data-log=choose]").disabled = on;
  }

  async function cancel(field) {
    if (field.querySelector("[data-log=cancel]").hidden) return;
    ticket++;
    running(field, false);
    field.querySelector("[data-log=choose]").focus();
    field.querySelector(".log-progress").textContent = "Cancelled.";
    const reply = await calculatorAsk({ do: "log_part", stop: true }).catch(() => null);
    if (reply) field.querySelector(".log-progress").textContent = reply.say;
  }

  const fieldOf = (event) => event.target.closest?.(".field[data-kind=log]:has(.log-file)");

  addEventListener("click", (event) => {
    const what = event.target.closest?.("[data-log]")?.dataset.log, field = fieldOf(event);
    if (what === "choose") field.querySelector(".log-file").click();
    if (what === "cancel") cancel(field);
    const form = event.target.closest?.("[data-do=clear], [data-do=example], [data-do=undo]")?.form;   // the box is filled otherwise
    for (const other of form?.querySelectorAll(".field[data-kind=log]:has(.log-file)") ?? []) { cancel(other); other.querySelector(".log-progress").textContent = ""; }
  });

  // In the capture phase: the form must not take the file, or a text too long for the box, for a change of its own.
  addEventListener("change", (event) => {
    if (!event.target.classList?.contains("log-file")) return;
    event.stopPropagation();
    const file = event.target.files[0];
    if (file) take(fieldOf(event), fromFile(file), file.name);
    event.target.value = "";
  }, true);

  addEventListener("paste", (event) => {
    const field = fieldOf(event), text = field && event.clipboardData?.getData("text");
    if (!text || text.length <= SHORT) return;
    event.preventDefault();
    event.stopPropagation();
    take(field, fromText(text), "");
  }, true);

  addEventListener("input", (event) => {
    const field = fieldOf(event);
    if (!field || !event.target.matches("textarea") || event.target.value.length <= SHORT) return;
    event.stopPropagation();
    const text = event.target.value;
    event.target.value = "";
    take(field, fromText(text), "");
  }, true);
})();
