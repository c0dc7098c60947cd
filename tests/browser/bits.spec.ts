// The page computes the same bits as the native build: fingerprints of whole fits, compared with those checked in.

import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { expect, test } from "./fixtures.ts";

const at = (path: string) => readFileSync(fileURLToPath(new URL(`../../${path}`, import.meta.url)), "utf8");

test("fits every shipped rider to every shipped sled with the native build's bits", async ({ page }, info) => {
  test.skip(info.project.name !== "desktop", "the program is the same on every device");
  test.setTimeout(300_000);
  const { kept, fits } = JSON.parse(at("tests/cases/fingerprints.json"));
  const wanted = fits.map((fit: { rider: string; sled: string }) => ({
    rider: at(`rider-profiles/riders/${fit.rider}.json`),
    sled: at(`rider-profiles/sleds/${fit.sled}.json`),
  }));
  await page.goto("./");
  const found = await page.evaluate(
    async ({ kept, wanted }) => {
      // The worker as the page starts it, asked by hand.
      const linked = (selector: string) =>
        new URL(document.querySelector(selector)!.getAttribute("href")!, document.baseURI).href;
      const name = JSON.stringify({ module: linked("link[rel=modulepreload]") });
      const program = await WebAssembly.compileStreaming(fetch(linked("link[rel=preload][type='application/wasm']")));
      const worker = new Worker(new URL("worker.js", document.baseURI), { type: "module", name });
      worker.postMessage(program);
      const heard = () => new Promise<any>((resolve) => (worker.onmessage = (event) => resolve(event.data)));
      await heard();
      const answers: string[] = [];
      for (const [ticket, one] of wanted.entries()) {
        const answer = heard();
        worker.postMessage({ ticket, request: { fingerprint: { ...one, kept: new Map(Object.entries(kept)) } } });
        const { response } = (await answer).answer;
        answers.push(response.fingerprint?.fingerprint ?? JSON.stringify(response));
      }
      worker.terminate();
      return answers;
    },
    { kept, wanted },
  );
  expect(found).toHaveLength(30);
  expect(found).toEqual(fits.map((fit: { fingerprint: string }) => fit.fingerprint));
});
