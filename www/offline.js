// Registers the service worker, says when the page opens without a network, and offers a new version without forcing it.

const notices = {
  ready: "This page now opens without a network, too.",
  newer: "A new version is ready. What you entered stays.",
  use: "Use the new version",
  elsewhere: "A new version took over in another window. Load this page again when it suits you.",
};

let asked = false;

function say(id, text, action) {
  let line = document.getElementById(id);
  if (!line) {
    line = document.createElement("p");
    line.id = id;
    line.className = "notice";
    line.setAttribute("role", "status");
    document.body.append(line);
  }
  line.replaceChildren(text);
  if (action) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = action.words;
    button.addEventListener("click", action.run);
    line.append(" ", button);
  }
}

function offer(waiting) {
  const run = () => {
    asked = true;
    waiting.postMessage("use-this-version");
  };
  say("newer", notices.newer, { words: notices.use, run });
}

async function register() {
  const known = navigator.serviceWorker;
  const hadOne = Boolean(known.controller);
  known.addEventListener("controllerchange", () => {
    if (asked) location.reload();
    else if (hadOne) say("newer", notices.elsewhere);
  });
  const registration = await known.register("./service.js", { updateViaCache: "none" });
  if (registration.waiting && hadOne) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const coming = registration.installing;
    coming?.addEventListener("statechange", () => {
      if (coming.state === "installed" && hadOne) offer(coming);
    });
  });
  await known.ready;
  document.documentElement.dataset.offline = "ready";
  if (!hadOne) say("offline", notices.ready);
}

// A private window, or a page served without encryption from another machine, may have no service worker: the page works
// as before, with a network.
if ("serviceWorker" in navigator) {
  addEventListener("load", () => register().catch(() => {}));
}
