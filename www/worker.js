// Starts the page's own module a second time, as a worker. The page hands over in the worker's name where it lies:
// the files' names carry hashes that this script cannot know.

try {
  const { module, wasm } = JSON.parse(self.name);
  const { default: start } = await import(module);
  await start({ module_or_path: wasm });
} catch (cause) {
  self.postMessage({ broken: { because: String(cause) } });
}
