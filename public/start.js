// Starts the page: loads the app, takes the line "is starting" away once the app stands, or says
// in its place what to do. A file of its own because the page's policy allows no script within it.
"use strict";

(() => {
  const starting = document.getElementById("starting");
  const line = document.getElementById("starting-line");

  const refuse = (sentence, cause) => {
    if (cause) console.error(cause);
    line.setAttribute("role", "alert");
    line.textContent = sentence;
  };

  if (location.protocol === "file:") {
    refuse(
      "Quarterturn cannot be opened as a file. Start it with “cargo xtask serve”, or put its folder " +
        "on a web server, and open the address given there.",
    );
    return;
  }
  if (typeof WebAssembly !== "object") {
    refuse("This browser lacks WebAssembly, which Quarterturn needs. Open the page in a current browser.");
    return;
  }

  import("./quarterturn-app.js")
    .then((app) => app.default())
    .then(() => starting.remove())
    .catch((cause) =>
      refuse(
        "Quarterturn could not start. Load the page again; if that does not help, open it in a " +
          "current browser.",
        cause,
      ),
    );
})();
