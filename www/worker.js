// Runs the page's own program a second time, as a worker. The page names its module in the worker's name, for the files'
// names carry hashes that this script cannot know, and sends the compiled program before it asks anything.

// Not awaited at the top: a browser passes messages on to a script that has run, and hears of that only between the
// page's own tasks.
const bindings = import(JSON.parse(self.name).module);
bindings.catch(() => {}); // said below

// What is asked before the program stands is kept for it.
const early = [];
self.onmessage = ({ data }) => {
  if (data instanceof WebAssembly.Module) begin(data).catch(broken);
  else early.push(data);
};

async function begin(program) {
  const { default: start } = await bindings;
  await start({ module_or_path: program });
  for (const data of early) self.dispatchEvent(new MessageEvent("message", { data }));
}

function broken(cause) {
  self.postMessage({ broken: { because: String(cause) } });
}
