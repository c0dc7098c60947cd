// Starts the page's own module a second time, as a worker. The page hands over in the worker's name where it lies:
// the files' names carry hashes that this script cannot know.

// What is asked before the program stands is kept for it.
const early = [];
self.onmessage = (event) => early.push(event.data);

// Not awaited at the top: a browser passes messages on to a script that has run, and hears of that only between the
// page's own tasks. So the first search would wait until the whole page stood.
async function begin() {
  const { module, wasm } = JSON.parse(self.name);
  const { default: start } = await import(module);
  await start({ module_or_path: wasm });
  for (const data of early) self.dispatchEvent(new MessageEvent("message", { data }));
}

begin().catch((cause) => self.postMessage({ broken: { because: String(cause) } }));
