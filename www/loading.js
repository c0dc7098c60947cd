// Speaks up when the page cannot start; the page removes #loading, and with it this script's say, once it stands.

function tell(cause) {
  const line = document.getElementById("loading");
  if (!line) return;
  line.setAttribute("role", "alert");
  line.textContent =
    `Sledstance could not start: ${cause}. What you saved on this device is untouched. ` +
    "Load the page again; if that does not help, update the browser.";
}

const words = (error) => (error && error.message) || String(error);

addEventListener("unhandledrejection", (event) => tell(words(event.reason)));
// Captured, because a script or module that fails to load raises an event that does not bubble.
addEventListener(
  "error",
  (event) => tell(event.message || `${event.target.src || event.target.href || "a file"} did not load`),
  true,
);
if (typeof WebAssembly !== "object") {
  addEventListener("DOMContentLoaded", () => tell("this browser has no WebAssembly"));
}

// The second thread comes up beside the page's own program, which takes it over with what it has said by then. Where that
// fails the program starts one itself, and says what went wrong.
try {
  const linked = (selector) => new URL(document.querySelector(selector).getAttribute("href"), document.baseURI).href;
  const name = JSON.stringify({
    module: linked("link[rel=modulepreload]"),
    wasm: linked("link[rel=preload][type='application/wasm']"),
  });
  const thread = new Worker(new URL("worker.js", document.baseURI), { type: "module", name });
  const heard = [];
  thread.onmessage = (event) => heard.push(event);
  thread.onerror = (event) => {
    event.preventDefault();
    heard.push(event);
  };
  self.begun = { thread, heard };
} catch {}
