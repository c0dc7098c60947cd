// Leverage in the compare place: worked out on request, told as a table and drawn, a point of the front taken as an option.

import { readFile } from "node:fs/promises";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";

/** Two set-ups by hand of one invented rider. */
const TWO =
  "#compare/ready/sled/" +
  "long-lemming/1;r.measurements.body_mass=80%20kg;r.measurements.stature=178%20cm;set=3_0_0_0_-60_12_0;x.name=as%20it%20is/" +
  "long-lemming/1;r.measurements.body_mass=80%20kg;r.measurements.stature=178%20cm;set=3_0_0_0_-100_12_0;x.name=further%20back";

test("corners, room, maps and the front, and a point of it as an option", async ({ page }, info) => {
  test.setTimeout(240_000);
  await page.goto(`./${TWO}`);
  const leverage = page.getByRole("region", { name: "Leverage", exact: true });
  await leverage.getByLabel("Load of the curves and maps").selectOption({ label: "Start" });
  await leverage.getByRole("button", { name: "Work it out" }).click();

  const table = leverage.getByRole("region", { name: "Leverage, option by option" });
  const corner = table.getByRole("row", { name: /^Level corner, (no )?edge protector/ }).first();
  await expect(corner).toBeVisible({ timeout: 60_000 });
  await expect(corner.getByRole("cell")).toHaveCount(2);
  await expect(corner.getByRole("cell").first()).toHaveText(/−\d\.\d+ to \d\.\d+ g/);
  await expect(table.getByRole("row", { name: /^Standing up from the seat/ })).toContainText(/\d\.\d+ s at the least/);

  // Each chart is a picture with a name.
  for (const name of [/^What each option holds sideways/, /^Where the hips can go/, /^Hold over the stirrup/, /^Hold over the riser/]) {
    await expect(leverage.getByRole("img", { name })).toBeVisible();
  }
  const maps = leverage.getByRole("img", { name: /^Hold over stirrup and riser angle: [AB].*start$/ });
  await expect(maps).toHaveCount(2, { timeout: 90_000 });
  await leverage.getByText("As a table").first().click();
  await expect(leverage.getByRole("region", { name: /^Hold, A.*start$/ }).getByRole("row").nth(3)).toContainText(/\d\.\d+|–/);

  // The front is the same at any width: its seconds are spent once.
  const whole = info.project.name === "desktop";
  if (whole) {
    await expect(leverage.getByText("Worked out.")).toBeVisible({ timeout: 180_000 });
    await expect(leverage.getByRole("img", { name: /^What comfort costs in hold/ })).toBeVisible();
  } else {
    await leverage.getByRole("button", { name: "Stop" }).click();
  }
  await expectNoSidewaysScroll(page);
  await expectAccessible(page);

  // Taken along: a table, the charts, and pages of paper behind the comparison's own.
  for (const [button, name, head] of [
    ["Save leverage (CSV)", "sledstance-leverage.csv", /^part,option,what,[^]*\r\nmap,[^]*/],
    ["Save leverage (SVG)", "sledstance-leverage.svg", /^<svg [^]*Hold over stirrup and riser angle/],
    ["Save leverage as a picture (PNG)", "sledstance-leverage.png", /^.PNG/],
  ] as const) {
    const saved = page.waitForEvent("download");
    await page.getByRole("button", { name: button }).click();
    const file = await saved;
    expect(file.suggestedFilename()).toBe(name);
    expect((await readFile((await file.path())!)).toString("latin1")).toMatch(head);
  }
  await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  const cards = page.locator(".card-place svg.card");
  await expect(cards.nth(1)).toHaveAttribute("aria-label", "Leverage");
  const sheets = await cards.count();
  for (let i = 0; i < sheets; i += 1) {
    const [height, lowest] = await cards.nth(i).evaluate((svg: SVGSVGElement) => {
      const lines = [...svg.querySelectorAll(":scope > text")].map((t) => Number(t.getAttribute("y")));
      return [svg.viewBox.baseVal.height, Math.max(...lines)];
    });
    expect(height, "as long as the paper").toBe(297);
    expect(lowest, "nothing is cut off").toBeLessThan(288);
  }
  const pdf = await page.pdf({ preferCSSPageSize: true });
  expect(pdf.toString("latin1").match(/\/Type \/Page\b(?!s)/g)).toHaveLength(sheets);
  await page.evaluate(() => window.dispatchEvent(new Event("afterprint")));

  if (!whole) {
    return;
  }
  await leverage.getByRole("button", { name: "Take point 1 as an option" }).click();
  await expect(page.getByRole("group", { name: "Option C", exact: true })).toBeVisible();
  // What was worked out for two options is no answer for three.
  await expect(table).toHaveCount(0);
});

test("working it out can be stopped", async ({ page }) => {
  await page.goto(`./${TWO}`);
  const leverage = page.getByRole("region", { name: "Leverage", exact: true });
  await leverage.getByRole("button", { name: "Work it out" }).click();
  const stop = leverage.getByRole("button", { name: "Stop" });
  await expect(stop).toBeEnabled();
  await stop.click();
  await expect(stop).toBeDisabled();
  await expect(leverage.getByRole("button", { name: "Work it out" })).toBeEnabled();
});
