// Taking a set-up along: the printed card, the files, the address.

import { readFile } from "node:fs/promises";
import { expect, test } from "./fixtures.ts";
import { Start } from "./start.ts";

test("the card is one page in A4 and Letter, with its text", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  await start.rider("5'11", "165 lb");
  for (const [paper, box] of [
    ["A4", /\/MediaBox \[0 0 59[45][.\d]* 84[12][.\d]*\]/g],
    ["Letter", /\/MediaBox \[0 0 612 792\]/g],
  ] as const) {
    await page.getByText(paper, { exact: true }).click();
    await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
    const card = page.locator(".card-place svg.card");
    await expect(card).toHaveCount(1);
    const words = await card.evaluate((svg) => [...svg.querySelectorAll(":scope > text")].map((t) => t.textContent).join(" "));
    for (const part of ["Bolt it on like this", "Work in this order", "Check with tape and level", "Try on", "Before you ride", "Cautions", "licensed clinician", "#start/long-lemming/ready/1;"]) {
      expect(words).toContain(part);
    }
    const pdf = await page.pdf({ preferCSSPageSize: true });
    const text = pdf.toString("latin1");
    expect(text.match(/\/Type \/Page\b(?!s)/g), "one page").toHaveLength(1);
    expect(text.match(box), "of the paper's size").not.toBeNull();
    // Letters as letters: a page with drawn outlines would name no font.
    expect(text).toMatch(/\/Type \/Font\b/);
  }
});

test("the drawing is saved as SVG and PNG", async ({ page }) => {
  const start = new Start(page);
  await start.open();
  for (const [button, name, head] of [
    [/\(SVG\)/, "sledstance.svg", /^<svg xmlns=/],
    [/\(PNG\)/, "sledstance.png", /^.PNG/],
  ] as const) {
    const download = page.waitForEvent("download");
    await page.getByRole("button", { name: button }).click();
    const file = await download;
    expect(file.suggestedFilename()).toBe(name);
    const content = await readFile((await file.path())!);
    expect(content.length).toBeGreaterThan(20_000);
    expect(content.toString("latin1")).toMatch(head);
  }
});

test("an address carries the whole set-up to another device, and can be taken back", async ({ page, context, browser, baseURL }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  const start = new Start(page);
  await start.open("#start/tall-tern/attack");
  await start.rider("1,91 m", "88 kg");
  const riser = start.setting("Riser").getByRole("button", { name: /higher|lower/ });
  await riser.locator("visible=true").first().click();
  const before = await start.value("Riser");
  await page.getByRole("button", { name: "Copy the address of this set-up" }).click();
  await expect(page.getByText("Copied: open it on the other device.")).toBeVisible();
  const address = await page.evaluate(() => navigator.clipboard.readText());
  expect(address).toContain("#start/tall-tern/attack/1;");
  expect(address.length).toBeLessThan(260);

  const other = await browser.newContext({ baseURL });
  const there = new Start(await other.newPage());
  await there.page.goto(address);
  await expect(there.height).toHaveValue("1,91 m");
  expect(await there.value("Riser")).toBe(before);
  await expect(there.page.getByRole("radio", { name: /Tall Tern/ })).toBeChecked();
  await expect(there.page.getByRole("radio", { name: /^Attack/ })).toBeChecked();
  await there.page.getByRole("button", { name: "Undo" }).click();
  await expect(there.height).toHaveValue("");
  await there.page.goto("./#start/tall-tern/attack/1;nonsense");
  await expect(there.page.getByRole("alert")).toContainText("address is damaged");
  await other.close();
});
