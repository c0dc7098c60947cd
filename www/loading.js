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
