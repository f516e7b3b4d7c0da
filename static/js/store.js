// What the tablet itself keeps: the outbox's entries, forms for later, drafts. In IndexedDB, over plain HTTP too.
const STORES = { entries: "id", kept: "path", drafts: "key", lease: "name" };
let opening = null;

function opened() {
  opening ??= new Promise((done, failed) => {
    const asked = indexedDB.open("castlenut", 1);
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) {
        asked.result.createObjectStore(name, { keyPath, autoIncrement: name === "entries" });
      }
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  return opening;
}

/** Whether this browser keeps anything at all; a private window may not. */
export const works = () => opened().then(() => true, () => false);

/** The answer of one transaction over a store: `work` gets the store and returns a request, or nothing. */
export async function within(name, mode, work) {
  const base = await opened();
  return new Promise((done, failed) => {
    const deed = base.transaction(name, mode, { durability: "strict" });
    const asked = work(deed.objectStore(name));
    deed.oncomplete = () => done(asked?.result);
    deed.onabort = deed.onerror = () => failed(deed.error);
  });
}

export const all = (name) => within(name, "readonly", (store) => store.getAll());
export const get = (name, key) => within(name, "readonly", (store) => store.get(key));
export const remove = (name, key) => within(name, "readwrite", (store) => store.delete(key));
export const empty = (name) => within(name, "readwrite", (store) => store.clear());

/** Several rows put and removed in one transaction; the key of the last one put. */
export function put(name, rows, gone = []) {
  return within(name, "readwrite", (store) => {
    for (const key of gone) store.delete(key);
    return rows.map((row) => store.put(row)).at(-1);
  });
}

/** Runs `work` in one tab at a time: by the browser's lock, over plain HTTP by a lease that the holder renews. */
export function alone(work) {
  if (navigator.locks) return navigator.locks.request("outbox", work);
  return leased(work);
}

const LEASE = 5000;
const me = Math.random().toString(36);

function take() {
  let mine = false;
  const deed = (store) => {
    const asked = store.get("outbox");
    asked.onsuccess = () => {
      mine = !asked.result || asked.result.holder === me || asked.result.until < Date.now();
      if (mine) store.put({ name: "outbox", holder: me, until: Date.now() + LEASE });
    };
  };
  return within("lease", "readwrite", deed).then(() => mine);
}

/** The lease ends where it is still ours: a tab that slept past its end must not end another's. */
function giveBack() {
  return within("lease", "readwrite", (store) => {
    const asked = store.get("outbox");
    asked.onsuccess = () => asked.result?.holder === me && store.delete("outbox");
  });
}

async function leased(work) {
  while (!(await take())) await new Promise((go) => setTimeout(go, LEASE / 4));
  const renewing = setInterval(take, LEASE / 3);
  try {
    return await work();
  } finally {
    clearInterval(renewing);
    await giveBack();
  }
}
