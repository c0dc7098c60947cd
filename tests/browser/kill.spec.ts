// A browser that is killed while the page saves loses nothing that was said to be saved.

import { expect, test } from "./fixtures.ts";
import { kill } from "./kill.mjs";

test("nothing that was said to be saved is missing after the browser was killed", async ({ launchOptions }, info) => {
  test.skip(info.project.name !== "desktop", "the store is the same at every size of the window");
  const total = await kill(launchOptions.executablePath!, 5);
  expect(total).toMatchObject({ kills: 5, missing: [], broken: [] });
  expect(total.said, "the page said something").toBeGreaterThan(5);
  expect(total.found).toBeGreaterThanOrEqual(total.said);
});
