// When the page fails: says so, and hands out the job as it was kept. It needs nothing of the
// program itself, which may be dead. Loaded before it; listens for the program's last word
// (`quarterturn-failed`) and for what kills it without one.
(() => {
  "use strict";
  const JOB = "quarterturn.job.";

  // The open job as a file has it: the store holds a label in the first line before it.
  const kept = () => {
    try {
      const id = sessionStorage.getItem("quarterturn.open") || localStorage.getItem("quarterturn.open");
      const text = id && localStorage.getItem(JOB + id);
      if (!text) return null;
      const first = text.indexOf("\n");
      return first > 0 && text[1] === '"' && text.slice(0, first).includes('"revision"') ? text.slice(first + 1) : text;
    } catch {
      return null;
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
    const job = kept();
    const boat = document.createElement("section");
    boat.className = "lifeboat";
    boat.setAttribute("role", "alert");
    boat.setAttribute("aria-label", "The page has failed");
    const says = document.createElement("p");
    const strong = document.createElement("strong");
    strong.textContent = "Something went wrong in the page. ";
    says.append(strong, job
      ? "Your job is kept as it was after the last change. Load the page again to go on with it."
      : "Load the page again to go on.");
    const acts = document.createElement("div");
    acts.className = "acts";
    const again = button("Load the page again", () => location.reload());
    again.classList.add("main");
    acts.append(again);
    if (job) {
      acts.append(button("Save the kept job to a file", () => {
        const a = document.createElement("a");
        a.href = URL.createObjectURL(new Blob([job], { type: "application/json" }));
        a.download = "kept-job.json";
        a.click();
        setTimeout(() => URL.revokeObjectURL(a.href), 60000);
      }));
      // A job that fails each time it is opened must not lock the user out.
      acts.append(button("Load the page without this job", () => {
        try {
          sessionStorage.setItem("quarterturn.open", "none");
        } catch { /* without storage there is no job to leave out */ }
        location.reload();
      }));
    }
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
