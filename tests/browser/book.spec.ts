// The book's place: a book from a file, or the demo, looked at and not changed.

import { readFile } from "node:fs/promises";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";

const FILE = "../../rider-profiles/books/two-tents.json";

test("the demo shows who rides what, how it is set, what changes did, and every entry", async ({ page }) => {
  await page.goto("./#book");
  await page.getByRole("button", { name: "Look at the demo" }).click();
  const rides = page.getByRole("region", { name: "Who rides what" });
  const max = rides.getByRole("button", { name: /Max Midpack on Long Lemming/ });
  const lena = rides.getByRole("button", { name: /Lena Longleg on Tall Tern/ });
  await expect(max).toBeVisible();
  await lena.click();
  await expect(lena).toHaveAttribute("aria-current", "true");
  const stands = page.getByRole("region", { name: /Lena Longleg on Tall Tern/ });
  await expect(stands.getByRole("row", { name: /^Riser 100 mm/ })).toBeVisible();
  await expect(stands.getByRole("row", { name: /^Seat tall/ })).toBeVisible();

  await max.click();
  const other = page.getByRole("region", { name: /Max Midpack on Long Lemming/ });
  await expect(other.getByRole("row", { name: /^Riser 150 mm/ })).toBeVisible();
  const changes = other.getByRole("listitem");
  expect(await changes.count()).toBeGreaterThan(0);
  await expect(changes.first()).toContainText("Felt: ");
  await expect(page.getByRole("region", { name: "Entries, the newest first" }).getByRole("listitem").first()).toContainText("2026-02-");

  await page.goBack();
  await expect(stands).toBeVisible();
});

test("units of the page are those of the book's words", async ({ page }) => {
  await page.goto("./#book");
  await page.getByRole("button", { name: "Look at the demo" }).click();
  await page.getByText("in, lb", { exact: true }).click();
  const stands = page.getByRole("region", { name: /Max Midpack on Long Lemming/ });
  await expect(stands.getByRole("row", { name: /^Riser 5 15\/16 in|^Riser 5[.,]9\d* in|^Riser 6 in/ })).toBeVisible();
});

test("a file is opened, and a broken or a newer one changes nothing and says why", async ({ page }) => {
  const text = await readFile(FILE, "utf8");
  await page.goto("./#book");
  const picker = page.getByLabel("Open a book from a file");
  const give = (name: string, content: string) => picker.setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(content) });
  await give("season.json", text);
  await expect(page.getByText(/^season\.json: \d+ entries\.$/)).toBeVisible();
  const stands = page.getByRole("region", { name: /Max Midpack on Long Lemming/ });
  await expect(stands).toBeVisible();

  const alert = page.getByRole("alert");
  for (const [name, content, says] of [
    ["torn.json", text.slice(0, text.length / 2), /torn\.json cannot be read: .*What is shown has not changed\./],
    ["newer.json", text.replace(/"schema":\s*\d+/, '"schema": 99'), /newer\.json cannot be read: .*newer/],
    ["rider.json", await readFile("../../rider-profiles/riders/max-midpack.json", "utf8"), /rider\.json cannot be read: .*What is shown has not changed\./],
  ] as const) {
    await give(name, content);
    await expect(alert).toHaveText(says);
    await expect(stands).toBeVisible();
  }
  await page.getByRole("button", { name: "Put it away" }).click();
  await expect(stands).toHaveCount(0);
});

for (const theme of ["Day", "Night"]) {
  test(`the book's place is accessible and no wider than the window, ${theme}`, async ({ page }) => {
    await page.goto("./#book");
    await page.getByRole("button", { name: "Look at the demo" }).click();
    await page.getByText(theme, { exact: true }).click();
    await expect(page.getByRole("region", { name: "Who rides what" })).toBeVisible();
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
  });
}
