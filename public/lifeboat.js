// When the page fails: says so, and hands out the job as it was kept. It needs nothing of the
// program itself, which may be dead. Loaded before it; listens for the program's last word
// (`quarterturn-failed`) and for what kills it without one.
(() => {
  "use strict";

  // The open job as a file has it, from the database that `app/src/keep/database.rs` describes.
  const kept = async () => {
    const id = sessionStorage.getItem("quarterturn.open") || localStorage.getItem("quarterturn.open");
    if (!id) return null;
    const answer = (request) => new Promise((ok, no) => {
      request.onsuccess = () => ok(request.result);
      request.onerror = () => no(request.error);
    });
    const opening = indexedDB.open("quarterturn");
    // Where there is none yet there must be none after this either.
    opening.onupgradeneeded = () => opening.transaction.abort();
    const database = await answer(opening);
    try {
      const stores = database.transaction(["documents", "pieces"]);
      const [document, pieces] = await Promise.all([
        answer(stores.objectStore("documents").get(id)),
        answer(stores.objectStore("pieces").getAll(IDBKeyRange.bound(id + "/", id + "/:"))),
      ]);
      if (!document || !pieces.length) return document || null;
      const job = JSON.parse(document);
      job.pieces = pieces.map((piece) => JSON.parse(piece));
      return JSON.stringify(job);
    } finally {
      database.close();
    }
  };

  const button = (words, act) => {
    const b = document.createElement("button");
    b.type = "button";
    b.className = "button";
    b.textContent = words;
    b.addEventListener("click", act);
    return b;
  };

  const open = (what) => {
    const shown = document.querySelector(".lifeboat textarea");
    if (shown) {
      if (!shown.value.includes(what)) shown.value += "\n\n" + what;
      return;
    }
    const boat = document.createElement("section");
    boat.className = "lifeboat";
    boat.setAttribute("role", "alert");
    boat.setAttribute("aria-label", "The page has failed");
    const says = document.createElement("p");
    const strong = document.createElement("strong");
    strong.textContent = "Something went wrong in the page. ";
    const rest = document.createTextNode("Load the page again to go on.");
    says.append(strong, rest);
    const acts = document.createElement("div");
    acts.className = "acts";
    const again = button("Load the page again", () => location.reload());
    again.classList.add("main");
    acts.append(again);
    kept().then((job) => {
      if (!job) return;
      rest.data = "Your job is kept as it was after the last change. Load the page again to go on with it.";
      acts.append(button("Save the kept job to a file", () => {
        const a = document.createElement("a");
        a.href = URL.createObjectURL(new Blob([job], { type: "application/json" }));
        a.download = "kept-job.json";
        a.click();
        setTimeout(() => URL.revokeObjectURL(a.href), 60000);
      }));
      // A job that fails each time it is opened must not lock the user out.
      acts.append(button("Load the page without this job", () => {
        sessionStorage.setItem("quarterturn.open", "none");
        location.reload();
      }));
    }, () => { /* without a database there is no job to hand out */ });
    const label = document.createElement("label");
    label.textContent = "What went wrong, to be copied into a report: ";
    const text = document.createElement("textarea");
    text.readOnly = true;
    text.value = what;
    text.addEventListener("focus", () => text.select());
    label.append(text);
    boat.append(says, acts, label);
    document.body.prepend(boat);
    again.focus();
  };

  addEventListener("quarterturn-failed", (e) => open(String(e.detail)));
  const died = (error) => {
    if (typeof WebAssembly === "object" && error instanceof WebAssembly.RuntimeError) open(String(error.stack || error));
  };
  addEventListener("error", (e) => died(e.error));
  addEventListener("unhandledrejection", (e) => died(e.reason));
})();
