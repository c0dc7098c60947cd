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

// Begins a thread on the page's own program, whose address the built page holds in its preload links. It goes into the
// thread's name, not after a `#`: a script's address with one is not found again without a network.
self.beginThread = () => {
  const linked = (selector) => {
    const link = document.querySelector(selector);
    if (!link) throw new Error(`the page lacks ${selector}`);
    return new URL(link.getAttribute("href"), document.baseURI).href;
  };
  const name = JSON.stringify({
    module: linked("link[rel=modulepreload]"),
    wasm: linked("link[rel=preload][type='application/wasm']"),
  });
  return new Worker(new URL("worker.js", document.baseURI), { type: "module", name });
};

// The first comes up beside the page's own program, which takes it over with what it has said by then. Where that fails the
// program begins one itself, and says what went wrong.
try {
  const thread = beginThread();
  const heard = [];
  thread.onmessage = (event) => heard.push(event);
  thread.onerror = (event) => {
    event.preventDefault();
    heard.push(event);
  };
  self.begun = { thread, heard };
} catch {}
