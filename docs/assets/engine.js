// One interpreter for the whole visit, in a worker. calculatorAsk(request) is all that a page may ask of it.
(() => {
  if (self.calculatorStart) return;            // a calculator page names this file early in its head, every page at its end
  const early = "start" in document.currentScript.dataset;
  const script = document.currentScript.src, at = (file) => new URL(file, script).href;
  const served = location.protocol.startsWith("http");
  const PATIENCE = 90_000;                     // ms; a start that says nothing for so long has failed
  const LONGEST = 60_000;                      // ms; a calculation that takes longer has gone wrong
  let engine;                                  // a promise of {respond, terminate}

  async function start() {
    if (served) {
      const { PyWorker } = await import(at("run/pyscript/core.js"));
      // The interpreter goes in as `version`: named anywhere else, PyScript would look for its own on another host.
      const worker = await PyWorker(at("run/entry.py"), { version: at("run/interpreter.mjs"), config: at("run/config.json") });
      return { respond: (text) => worker.sync.respond(text), terminate: () => worker.terminate?.() };
    }
    for (const src of ["run/bundle.js", "run/disk.js"]) await classicScript(at(src));
    return startFromDisk();
  }

  const classicScript = (src) => new Promise((onload, refuse) =>
    document.head.append(Object.assign(document.createElement("script"), { src, onload, onerror: () => refuse(new Error("a file is missing")) })));

  const within = (promise, ms, what) => Promise.race([promise, new Promise((_, refuse) => setTimeout(() => refuse(new Error(what)), ms))]);

  // Begins to load; safe to call often. A failed start is forgotten, so that the next call tries again.
  self.calculatorStart = () => (engine ??= within(start(), PATIENCE, "the interpreter did not start").catch((error) => {
    engine = undefined;
    throw error;
  }));

  if (early) calculatorStart().catch(() => {});   // whoever asks is told; here it only begins, while the page is being laid out

  self.calculatorAsk = async (request) => {
    const { respond, terminate } = await calculatorStart();
    try {
      return JSON.parse(await within(respond(JSON.stringify(request)), LONGEST, "no answer came"));
    } catch (error) {
      if (String(error).includes("no answer came")) {
        terminate();
        engine = undefined;
      }
      throw Object.assign(error, { calculation: true });
    }
  };

  // After the first answer, so as not to slow it down: keep one complete copy for use without a network.
  self.keepForOffline = () => {
    if (served && "serviceWorker" in navigator) navigator.serviceWorker.register(new URL("../sw.js", script)).then(offerUpdate, () => {});
  };

  function offerUpdate(registration) {
    if (!registration) return;
    const offer = () => {
      if (!registration.waiting || !navigator.serviceWorker.controller || document.querySelector(".update")) return;
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Use the new revision of this site" });
      const bar = Object.assign(document.createElement("p"), { className: "update" });
      button.addEventListener("click", () => {
        navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
        registration.waiting.postMessage("use the new version");
      });
      bar.append(button);
      document.querySelector("main article, main")?.prepend(bar);
    };
    offer();
    registration.addEventListener("updatefound", () => registration.installing?.addEventListener("statechange", offer));
  }
})();
