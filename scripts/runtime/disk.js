// The same interpreter for pages opened from disk. Such a page cannot fetch its neighbours, so bundle.js holds them;
// and the only module worker that every browser lets it start is one from a data: address.
const source = String.raw`
const bytes = async (text) =>                          // fromBase64 is recent; a data: address can always be fetched
  Uint8Array.fromBase64?.(text) ?? new Uint8Array(await (await fetch("data:;base64," + text)).arrayBuffer());
const unpack = async (text) =>
  new Response(new Blob([await bytes(text)]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
const module = (data) => import(URL.createObjectURL(new Blob([data], { type: "text/javascript" })));
const text = (data) => new TextDecoder().decode(data);
const home = "https://bundle.invalid/";                // a made-up address: what is asked from it never leaves this worker
const type = (name) => (name.endsWith(".wasm") ? "application/wasm" : "application/octet-stream");

async function start(bundle) {
  const unpacked = Object.entries(bundle).map(async ([name, data]) => [name, await unpack(data)]);
  const files = Object.fromEntries(await Promise.all(unpacked));
  const elsewhere = self.fetch;
  self.fetch = async (url, ...rest) => {
    const name = String(url).startsWith(home) && String(url).slice(home.length);
    return name in files ? new Response(files[name], { headers: { "content-type": type(name) } }) : elsewhere(url, ...rest);
  };
  const [{ loadPyodide }, made] = await Promise.all([module(files["pyodide.mjs"]), module(files["pyodide.asm.mjs"])]);
  const py = await loadPyodide({ indexURL: home, stdLibURL: home + "stdlib.zip", packageBaseUrl: home,
                                 lockFileContents: text(files["lock.json"]), createPyodideModule: made.default });
  py.unpackArchive(files["app.zip"], "zip", { extractDir: "/app" });
  py.runPython(text(files["entry.py"]));
  return py.globals.get("respond");
}

let respond;
onmessage = async ({ data: [id, sent] }) => {          // message 0 brings the bundle, each later one a request
  try {
    if (id) return postMessage([id, (await respond)(sent)]);
    await (respond = start(sent));
    postMessage([0]);
  } catch (error) {
    postMessage([id, null, String(error)]);
  }
};`;

// Returns {respond(text), a promise of text; terminate()}. After terminate, call startFromDisk again for a new one.
self.startFromDisk = async () => {
  const Worker = self.NativeWorker ?? self.Worker;     // the search's shim replaces Worker and keeps the real one
  const worker = new Worker("data:text/javascript," + encodeURIComponent(source), { type: "module" });
  const waiting = new Map();
  let last = 0;
  const refuseAll = (message) => {
    waiting.forEach(({ refuse }) => refuse(new Error(message)));
    waiting.clear();
  };
  const ask = (id, sent) => new Promise((answer, refuse) => {
    waiting.set(id, { answer, refuse });
    worker.postMessage([id, sent]);
  });
  worker.onmessage = ({ data: [id, value, error] }) => {
    const { answer, refuse } = waiting.get(id) ?? {};
    waiting.delete(id);
    error ? refuse?.(new Error(error)) : answer?.(value);
  };
  worker.onerror = (event) => refuseAll(event.message || "the worker did not start");
  await ask(0, self.bundle);
  return {
    respond: (text) => ask(++last, text),
    terminate: () => {
      worker.terminate();
      refuseAll("the interpreter was stopped");
    },
  };
};
