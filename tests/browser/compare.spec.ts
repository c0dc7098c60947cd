// The compare place: options beside each other, what differs first, as a person sees it.

import { readFile } from "node:fs/promises";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import type { Page } from "@playwright/test";

/** A comparison that needs no start place: two set-ups by hand of one invented rider. */
const TWO =
  "#compare/ready/sled/" +
  "long-lemming/1;r.measurements.body_mass=80%20kg;r.measurements.stature=178%20cm;set=3_0_0_0_-60_12_0;x.name=as%20it%20is/" +
  "long-lemming/1;r.measurements.body_mass=80%20kg;r.measurements.stature=178%20cm;set=3_0_0_0_-100_12_0;x.name=further%20back";

class Compare {
  readonly differences;
  readonly over;
  readonly holds;
  constructor(readonly page: Page) {
    this.differences = page.getByRole("region", { name: "What differs, against A" });
    this.over = page.getByRole("region", { name: "Over each other" });
    this.holds = page.getByRole("region", { name: "What they can hold" });
  }

  async open(hash: string) {
    await this.page.goto(`./${hash}`);
    await this.drawn();
  }

  /** All riders are drawn for what is asked last. */
  async drawn() {
    await expect(this.differences.getByRole("status")).toHaveText(/\(60 drawn\)/, { timeout: 90_000 });
  }

  option(letter: string) {
    return this.page.getByRole("group", { name: `Option ${letter}`, exact: true });
  }

  row(what: string) {
    return this.differences.getByRole("row", { name: new RegExp(`^${what}`) });
  }
}

test("the whole job: two options from the start page, one changed, what differs, drawn over each other", async ({ page }) => {
  const compare = new Compare(page);
  await page.goto("./");
  await page.getByLabel(/^Height/).fill("178 cm");
  await page.getByLabel(/^Weight/).fill("80 kg");
  await expect(page.getByRole("heading", { name: "Bolt it on like this", exact: true })).toBeVisible();
  await expect(page.getByText(/For your measurements/)).toBeVisible();
  await page.getByRole("navigation", { name: "Places" }).getByRole("link", { name: "Compare" }).click();
  await compare.drawn();
  await expect(compare.row("Stirrups, ahead of the foremost position").first()).toBeVisible();
  await expect(compare.differences.getByText(/^B, stirrups one position .* against A/)).toBeVisible();

  // Another seat for B: the row is signed against A, or named.
  const b = compare.option("B");
  await b.getByRole("button", { name: "Riser angle, B: back" }).click();
  await compare.drawn();
  await expect(compare.row("Riser angle, positive back").getByText("+0.5°")).toBeVisible();
  await b.getByLabel("Strength, B").selectOption("trained");
  await compare.drawn();
  await expect(compare.row("Strength, of the average").getByText("+0.3")).toBeVisible();

  // Bands and marks stand beside the differences.
  await expect(compare.differences.getByText(/smaller than its band; /)).toBeVisible();
  await expect(compare.differences.locator(".setting-band").first()).toHaveText(/^\(.* to .*\)$/);

  // A third option, taken from B, and out again.
  await b.getByRole("button", { name: "Copy B" }).click();
  await expect(compare.option("C")).toBeVisible();
  await compare.drawn();
  await expect(compare.over.getByRole("img")).toHaveAttribute("aria-label", /A.*; B.*; C/);
  await compare.option("C").getByRole("button", { name: "Take C out" }).click();
  await expect(compare.option("C")).toHaveCount(0);

  // The drawing: on the hips, with lever arms, in another stance.
  await compare.over.getByText("On the hips", { exact: true }).click();
  await compare.over.getByText("Lever arms", { exact: true }).click();
  await compare.over.getByLabel("Stance").selectOption("attack");
  await expect(compare.over.getByRole("img")).toHaveAttribute("aria-label", /in attack; .*in attack/);
  await expect(compare.over.getByRole("status")).toHaveText(/A lever arms foot \d+ mm hand \d+ mm/);
  await compare.holds.getByText("As a table", { exact: true }).click();
  expect(await compare.holds.getByRole("row").count()).toBeGreaterThan(6);
});

test("a link brings the same comparison back, and the back button takes a change back", async ({ page, context, browser, baseURL }) => {
  await context.grantPermissions(["clipboard-read", "clipboard-write"]);
  const compare = new Compare(page);
  await compare.open(TWO);
  await expect(compare.row("Stirrups").getByText("−40 mm")).toBeVisible();
  await compare.over.getByText("On the hips", { exact: true }).click();
  await compare.option("B").getByRole("button", { name: "Stirrup, B: back" }).click();
  await expect(compare.row("Stirrups").getByText("−60 mm")).toBeVisible();
  await compare.drawn();
  await page.getByRole("button", { name: "Copy the address of this comparison" }).click();
  await expect(page.getByText("Copied: open it on the other device.")).toBeVisible();
  const address = await page.evaluate(() => navigator.clipboard.readText());
  expect(address).toContain("#compare/ready/hips/long-lemming/1;");
  const said = await compare.differences.getByRole("table").first().innerText();

  const other = await browser.newContext({ baseURL });
  const there = new Compare(await other.newPage());
  await there.page.goto(address);
  await there.drawn();
  expect(await there.differences.getByRole("table").first().innerText()).toBe(said);
  await expect(there.over.getByRole("radio", { name: "On the hips" })).toBeChecked();
  await other.close();

  await page.goBack();
  await expect(compare.row("Stirrups").getByText("−40 mm")).toBeVisible();
  await page.goto("./#compare/ready/sled/long-lemming/1;nonsense/long-lemming/1");
  await expect(page.getByRole("alert")).toContainText("address is damaged");
});

test("two stances of one rider are compared likewise, and half of a choice is said", async ({ page }) => {
  const compare = new Compare(page);
  await compare.open(TWO);
  const pick = async (letter: string, stance: string) => {
    const option = compare.option(letter);
    await option.getByText("Stance and weights").click();
    await option.getByLabel(`Compare, ${letter}`).selectOption(stance);
  };
  await pick("A", "ready");
  await expect(compare.differences.getByRole("alert")).toContainText("name a stance for every option, or for none");
  await pick("B", "seated");
  await compare.drawn();
  await expect(compare.differences.getByRole("alert")).toHaveCount(0);
  await expect(compare.differences.getByRole("rowheader", { name: "The stance" }).first()).toBeVisible();
  await expect(compare.row("Knee flexion").getByText(/^\+\d/).first()).toBeVisible();
  // A weight out of range is answered beside its field.
  const weight = compare.option("A").getByLabel("Weight of ready, A");
  await weight.fill("99");
  await expect(compare.option("A").getByRole("alert")).toContainText(/20/);
});

test("wrong input is answered in words and nothing is lost", async ({ page }) => {
  const compare = new Compare(page);
  await compare.open(TWO);
  const height = compare.option("A").getByLabel(/^Height.*, A/);
  await height.fill("17 km");
  await expect(compare.option("A").getByRole("alert").first()).toBeVisible();
  await expect(compare.differences.getByRole("alert")).toContainText("Option A:");
  await expect(height).toHaveValue("17 km");
  await height.fill("182 cm");
  await compare.drawn();
  await expect(compare.differences.getByRole("alert")).toHaveCount(0);
  await expect(compare.row("Rider")).toBeVisible();
});

test("the drawing, the picture and the table are saved as files", async ({ page }) => {
  const compare = new Compare(page);
  await compare.open(TWO);
  for (const [button, name, head, least] of [
    [/^Save the drawing \(SVG\)/, "sledstance-comparison.svg", /^<svg xmlns=/, 20_000],
    [/^Save it as a picture \(PNG\)/, "sledstance-comparison.png", /^.PNG/, 20_000],
    [/^Save the table \(CSV\)/, "sledstance-comparison.csv", /^group,what,unit,"A, as it is","B, further back"/, 2_000],
  ] as const) {
    const download = page.waitForEvent("download");
    await page.getByRole("button", { name: button }).click();
    const file = await download;
    expect(file.suggestedFilename()).toBe(name);
    const content = await readFile((await file.path())!);
    expect(content.length).toBeGreaterThan(least);
    expect(content.toString("latin1")).toMatch(head);
  }
});

test("the comparison is printed on one page in A4 and Letter, with its text", async ({ page }) => {
  const compare = new Compare(page);
  await compare.open(TWO);
  for (const paper of ["A4", "Letter"]) {
    await page.getByText(paper, { exact: true }).click();
    await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
    const card = page.locator(".card-place svg.card");
    await expect(card).toHaveCount(1);
    const words = await card.evaluate((svg) => [...svg.querySelectorAll(":scope > text")].map((t) => t.textContent).join(" "));
    for (const part of ["Options beside each other", "What is set differently", "Cautions", "licensed clinician", "#compare/ready/sled/long-lemming/1;"]) {
      expect(words).toContain(part);
    }
    const pdf = await page.pdf({ preferCSSPageSize: true });
    expect(pdf.toString("latin1").match(/\/Type \/Page\b(?!s)/g), "one page").toHaveLength(1);
  }
});

for (const theme of ["Day", "Night"]) {
  test(`the compare place is accessible and no wider than the window, ${theme}`, async ({ page }) => {
    const compare = new Compare(page);
    await compare.open(TWO);
    await page.getByText(theme, { exact: true }).click();
    await compare.holds.getByText("As a table", { exact: true }).click();
    await compare.option("A").getByText("Stance and weights").click();
    await expectAccessible(page);
    await expectNoSidewaysScroll(page);
  });
}
