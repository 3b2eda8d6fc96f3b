// A browser that refuses to keep anything throws where a page only looks. Pages and theme then get a memory that
// lasts as long as the page, and `keepsNothing` says so.
try { localStorage; sessionStorage; } catch {
  self.keepsNothing = true;
  for (const kind of ["localStorage", "sessionStorage"]) {
    const kept = new Map();
    Object.defineProperty(self, kind, { configurable: true, value: {
      getItem: (key) => kept.get(key) ?? null, setItem: (key, value) => { kept.set(key, String(value)); },
      removeItem: (key) => { kept.delete(key); }, clear: () => kept.clear(), key: (i) => [...kept.keys()][i] ?? null,
      get length() { return kept.size; },
    } });
  }
}
