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

// The tab's mark comes late: a browser draws it on the page's own thread, where the first set-up would wait for it. How
// late is our choice: longer than a first set-up takes on a slow device.
setTimeout(() => {
  document.querySelector("link[rel=icon]").href = "./mark.svg";
}, 4000);

// Begins a thread for the page's own program, whose module the built page names in a preload link. Its address goes into
// the thread's name, not after a `#`: a script's address with one is not found again without a network.
self.beginThread = () => {
  const link = document.querySelector("link[rel=modulepreload]");
  if (!link) throw new Error("the page does not name its module");
  const module = new URL(link.getAttribute("href"), document.baseURI).href;
  return new Worker(new URL("worker.js", document.baseURI), { type: "module", name: JSON.stringify({ module }) });
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
