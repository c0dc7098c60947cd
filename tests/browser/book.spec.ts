// The book's place: the demo to look at and to try, and the loop from what the rider said to what a change did.

import { readFile } from "node:fs/promises";
import { Book } from "./book.ts";
import { expect, expectAccessible, expectNoSidewaysScroll, test } from "./fixtures.ts";
import { Start } from "./start.ts";

test("the demo shows who rides what, how it is set and what changes did, and goes when it is put away", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  const max = book.rides.getByRole("button", { name: /Max Midpack on Long Lemming/ });
  const lena = book.rides.getByRole("button", { name: /Lena Longleg on Tall Tern/ });
  await lena.click();
  await expect(lena).toHaveAttribute("aria-current", "true");
  await expect(book.heading("Lena Longleg on Tall Tern")).toBeFocused();
  await expect(book.row(/^Riser 100 mm/)).toBeVisible();
  await expect(book.row(/^Seat tall/)).toBeVisible();
  await max.click();
  await expect(book.row(/^Riser 150 mm/)).toBeVisible();
  await expect(book.part.getByRole("listitem").filter({ hasText: "Felt: " }).first()).toBeVisible();
  await expect(book.part.getByRole("listitem").first()).toContainText("2026-02-");
  await page.goBack();
  await expect(book.row(/^Riser 100 mm/)).toBeVisible();
  await page.reload();
  await expect(book.row(/^Riser 100 mm/)).toBeVisible();
  await page.getByText("in, lb", { exact: true }).click();
  await expect(book.row(/^Riser 3[.,]9\d* in|^Riser 3 15\/16 in/)).toBeVisible();
  await page.getByRole("button", { name: "Put the demo away" }).click();
  await expect(book.heading("The mechanic’s book is empty")).toBeVisible();
  await expect(book.rides).toHaveCount(0);
});

test("the whole loop: from the start place into the book, said, changed, worked, said again, and what it did", async ({ page }) => {
  const start = new Start(page);
  const book = new Book(page);
  await start.open("#start/long-lemming/ready");
  await start.rider("183 cm", "82 kg");
  await page.getByRole("link", { name: "Book" }).click();
  await expect(book.heading("The mechanic’s book is empty")).toBeVisible();
  await book.open("Put what stands on the start place into the book");
  await expect(book.row(/^Stirrup bolt/)).toBeVisible();
  await book.open("Put it into the book");
  await expect(book.part.getByRole("alert")).toContainText("Give a name");
  await book.part.getByLabel("What the rider is called").fill("Nora Northwind");
  await book.open("Put it into the book");
  await expect(book.heading(/^Nora Northwind on Long Lemming/)).toBeVisible();
  await expect(book.row(/^Riser \d+ mm/)).toBeVisible();
  await expect(page.getByText(/4 entries in the book, all of them saved/)).toBeVisible();

  // What the rider said.
  await book.open("What did the rider say?");
  await book.part.getByRole("checkbox", { name: "I get pitched over the bars on short landings" }).check();
  await book.part.getByLabel("How bad: I get pitched over the bars on short landings").selectOption("badly");
  await book.part.getByLabel("Lap or heat").fill("heat 1");
  await book.part.getByRole("radio", { name: "Nothing" }).check();
  await book.open("Write it down, and see what to change");
  await expect(book.heading("What to change")).toBeVisible();
  await expect(book.part.getByText(/over the bars 3, heat 1/)).toBeVisible();
  await book.part.getByLabel("Time there is").selectOption("15 minutes");
  const choose = book.part.getByRole("button", { name: /^Choose it: / }).first();
  await expect(choose).toBeVisible();
  await choose.click();

  // The change.
  await expect(book.heading("Change")).toBeVisible();
  await expect(book.part.getByText("What it should do, as computed")).toBeVisible();
  await expect(book.part.getByLabel(/^Why/)).toHaveValue(/over the bars: /);
  await book.open("Write this change down");
  await expect(book.heading("Work list")).toBeVisible();
  await expect(book.part.getByText(/licensed clinician/)).toBeVisible();
  await book.part.getByRole("checkbox").first().check();
  const found = book.part.getByLabel(/^Found: Stirrup bolt to grip centre/);
  await found.fill("930 mm");
  await book.open("Write the tape checks down");
  await expect(book.part.getByRole("alert")).toContainText("whether it is well");
  await book.part.getByLabel(/^Well\? Stirrup bolt to grip centre/).selectOption("well");
  await book.open("Write the tape checks down");
  await expect(book.part.getByText("Felt: not felt yet")).toBeVisible();

  // Said again: it is better.
  await book.open("What did the rider say?");
  await book.part.getByRole("radio", { name: "Nothing" }).check();
  await book.open("Write down: nothing to complain of");
  await expect(book.part.getByText("Felt: better")).toBeVisible();
  await expect(book.part.getByText(/^Expected: /)).toBeVisible();

  // All of it is still there after a reload.
  await page.reload();
  await expect(book.part.getByText("Felt: better")).toBeVisible();

  // Back in two taps.
  const now = await book.part.getByRole("table").first().innerText();
  await book.open("Go back to …");
  await book.part.getByRole("button", { name: /^Go back to the set-up of / }).first().click();
  await expect(book.heading("Work list")).toBeVisible();
  await book.part.getByRole("button", { name: /^To Nora Northwind/ }).click();
  expect(await book.part.getByRole("table").first().innerText()).not.toBe(now);
  await expect(book.part.getByText(/Why: back to the set-up of \d{4}/).first()).toBeVisible();
});

test("a change by hand needs a reason, and is put right and deleted by entries of their own", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await book.open("Change something by hand");
  await book.part.getByRole("button", { name: "Write this change down" }).click();
  await expect(book.part.getByRole("alert")).toContainText("Nothing differs");
  await book.part.getByRole("button", { name: "Stirrup: back" }).click();
  await expect(book.part.getByText(/^Stirrup bolt .+ → /)).toBeVisible();
  await book.open("Write this change down");
  await expect(book.part.getByRole("alert")).toContainText("without a reason nobody learns");
  await book.part.getByLabel(/^Why/).fill("to try it");
  await book.part.getByLabel(/^Minutes/).fill("soon");
  await book.open("Write this change down");
  await expect(book.part.getByRole("alert")).toContainText("soon");
  await book.part.getByLabel(/^Minutes/).fill("7,5");
  await book.open("Write this change down");
  await expect(book.said).toContainText("it goes when the demo is put away");
  await book.part.getByRole("button", { name: /^To Max Midpack/ }).click();

  await book.open("All entries");
  await book.part.getByLabel("Search").fill("to try it");
  await expect(book.part.getByRole("status")).toHaveText("1 entry, the newest first.");
  await book.part.getByRole("button", { name: /^Change of .*: correct or delete$/ }).click();
  await book.part.getByLabel(/^Why/).first().fill("to try it again");
  await book.open("Put it right");
  await book.part.getByLabel("Search").fill("try it again");
  await expect(book.part.getByRole("status")).toHaveText("1 entry, the newest first.");
  await book.part.getByText("What stood there before").click();
  await expect(book.part.getByText(/Why: to try it$/)).toBeVisible();
  await book.part.getByRole("button", { name: /^Change of .*: correct or delete$/ }).click();
  await book.open("Delete it");
  await book.part.getByLabel("Search").fill("try it again");
  await expect(book.part.getByRole("status")).toHaveText("No entry is like that.");
  await book.part.getByText("Only some of them").click();
  await book.part.getByLabel("deleted ones too").check();
  await book.part.getByRole("button", { name: /bring back$/ }).click();
  await book.part.getByLabel("deleted ones too").uncheck();
  await expect(book.part.getByRole("status")).toHaveText("1 entry, the newest first.");
});

test("a base set-up that was written down wrong is put right, and a change that no longer joins says so until it is put right too", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await book.open("All entries");
  await book.part.getByText("Only some of them").click();
  await book.part.getByLabel("Rider", { exact: true }).selectOption({ label: "Max Midpack" });
  await book.part.getByLabel("Kind", { exact: true }).selectOption("base set-ups");
  const correct = (kind: string) => book.part.getByRole("button", { name: new RegExp(`^${kind} of .*: correct or delete$`) });
  await correct("Base set-up").last().click();
  await book.open("Put it right");
  await expect(book.part.getByRole("alert")).toContainText("Nothing is put right yet");
  await book.part.getByRole("button", { name: "Stirrup: forward" }).click();
  await expect(book.part.getByText(/^Stirrup bolt .+ → /)).toBeVisible();
  await book.open("Put it right");
  await expect(book.said).toContainText("Corrected.");
  await expect(book.part.getByText(/^Base set-up: .*Stirrup bolt/).last()).toBeVisible();
  await book.part.getByText("What stood there before").last().click();

  // The change after it is as it was written down, and says that it does not join.
  await book.part.getByText("Only some of them").click();
  await book.part.getByLabel("Rider", { exact: true }).selectOption({ label: "Max Midpack" });
  await book.part.getByLabel("Kind", { exact: true }).selectOption("changes");
  const gap = book.part.getByText(/^It does not begin where the set-up before it ended: Stirrup bolt .+ → /);
  await expect(gap).toHaveCount(1);
  await book.part.getByRole("listitem").filter({ hasText: "It does not begin where" }).getByRole("button").last().click();
  await expect(gap).toBeVisible();
  await book.part.getByRole("checkbox", { name: /did begin as the set-up before it ended/ }).check();
  await book.open("Put it right");
  await book.part.getByText("Only some of them").click();
  await book.part.getByLabel("Kind", { exact: true }).selectOption("changes");
  await expect(correct("Change").first()).toBeVisible();
  await expect(gap).toHaveCount(0);
});

test("conditions, what else was changed, a session, a photo and a note are written down, wrong ones said at their field", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await book.open("Write something else down");
  await book.open("Write it down");
  await expect(book.part.getByRole("alert")).toContainText("Nothing is filled in yet");
  await book.part.getByLabel(/^Air temperature/).fill("-80");
  await book.open("Write it down");
  await expect(book.part.getByRole("alert")).toContainText("-80 is outside the allowed -60 to 40");
  await book.part.getByLabel(/^Air temperature/).fill("−9,5");
  await book.part.getByLabel("Snow").selectOption("packed snow");
  // What is typed is kept while a look is taken elsewhere.
  await book.part.getByRole("button", { name: /^To Max Midpack/ }).click();
  await book.open("Write something else down");
  await expect(book.part.getByLabel(/^Air temperature/)).toHaveValue("−9,5");
  await book.part.getByLabel("When, if not now").fill("2026-02-20T09:30");
  await book.open("Write it down");
  await expect(book.part.getByText(/packed snow, -9\.5 °C|packed snow, −9\.5 °C/).first()).toBeVisible();

  await book.open("Write something else down");
  await book.open("What else was changed");
  await book.part.getByLabel("Skis", { exact: true }).selectOption("this:");
  await book.open("Write it down");
  await expect(book.part.getByRole("alert")).toContainText("0 characters");
  await book.part.getByLabel("What of the skis").fill("new carbides");
  await book.open("Write it down");
  await expect(book.part.getByText(/skis: new carbides/).first()).toBeVisible();

  await book.open("Write something else down");
  await book.open("A logged session");
  await book.part.getByLabel("Choose the logged file").setInputFiles({ name: "run.csv", mimeType: "text/csv", buffer: Buffer.from("abc") });
  // FIPS 180-2, appendix B.1: the digest of "abc".
  await expect(book.part.getByLabel("Its SHA-256")).toHaveValue("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  await book.open("Write it down");
  await expect(book.part.getByText(/Logged session: run\.csv/)).toBeVisible();

  for (const [kind, label, says] of [["A photo", "What it is called where you keep it", "stand.jpg"], ["A note", "Note", "greased the post"]] as const) {
    await book.open("Write something else down");
    await book.open(kind);
    await book.part.getByLabel(label, { exact: true }).fill(says);
    await book.open("Write it down");
    await expect(book.part.getByText(says).first()).toBeVisible();
  }
});

test("riders and sleds are added, copied, renamed and retired, and a set-up moves to another sled", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await book.rides.getByRole("button", { name: "Riders and sleds" }).click();
  await book.part.getByText("Add a rider").click();
  await book.part.getByLabel("What the rider is called").fill("Nils Nordlund");
  await book.part.getByLabel(/^How tall/).fill("181");
  await book.open("Add the rider");
  await expect(book.part.getByRole("alert")).toContainText("Give both");
  await book.part.getByLabel(/^How heavy/).fill("79");
  await book.open("Add the rider");
  await book.part.getByLabel(/Rides today.*Nils Nordlund/).selectOption({ label: "Tall Tern (demo)" });
  const people = book.rides.getByRole("button", { name: "Riders and sleds" });
  await book.open("To the book");
  await expect(book.rides.getByRole("button", { name: /Nils Nordlund on Tall Tern/ })).toBeVisible();
  await people.click();
  await book.part.getByText(/^Rename, copy, retire Max Midpack/).click();
  await book.part.getByLabel("Name of Max Midpack").fill("Max Mogul");
  await book.part.getByRole("button", { name: "Rename: Max Midpack" }).click();
  await expect(book.part.getByText("Max Mogul", { exact: true }).first()).toBeVisible();
  await book.part.getByText(/^Rename, copy, retire Nils Nordlund/).click();
  await book.part.getByRole("button", { name: "Retire: Nils Nordlund" }).click();
  await expect(book.part.getByText("Nils Nordlund, retired")).toBeVisible();

  await book.part.getByRole("button", { name: "Parts in stock: Tall Tern (demo)" }).click();
  await book.part.getByText("Risers in stock").click();
  await book.part.getByRole("button", { name: "Add a riser" }).click();
  const height = book.part.getByRole("group", { name: /^riser \d+$/i }).last().getByLabel(/^Height/);
  await height.fill("9 m");
  await book.open("Write the stock down");
  await expect(book.part.getByRole("alert").last()).toContainText("outside");
  await height.fill("210");
  await book.open("Write the stock down");
  await expect(book.part.getByText(/^Risers: .*210 mm/)).toBeVisible();

  await book.open("To the book");
  await expect(book.rides.getByRole("button", { name: /Nils Nordlund/ })).toHaveCount(0);
  await book.rides.getByRole("button", { name: /Max Mogul on Long Lemming/ }).click();
  await book.open("Move it to another sled");
  await book.part.getByLabel("Onto which sled").selectOption({ label: "Tall Tern (demo)" });
  await expect(book.part.getByRole("heading", { name: "What is lost" })).toBeVisible();
  await book.open("Write it down: rides it so from now on");
  await expect(book.heading("Max Mogul on Tall Tern (demo)")).toBeVisible();
  await expect(book.part.getByText(/moved from Long Lemming/).first()).toBeVisible();
});

test("a part on the team's shelf counts as in stock, is said to lie there, and is taken away again", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  const people = book.rides.getByRole("button", { name: "Riders and sleds" });
  await people.click();
  await expect(book.part.getByText("Nothing lies on it.")).toBeVisible();
  await book.open("Parts on the shelf");
  await book.open("Write the stock down");
  await expect(book.part.getByRole("alert")).toContainText("The shelf is as the book says already");
  await book.part.getByText("Risers in stock").click();
  await expect(book.part.getByText("Assumed from a typical sled.")).toHaveCount(0);
  await book.part.getByRole("button", { name: "Add a riser" }).click();
  const height = book.part.getByRole("group", { name: /^riser \d+$/i }).getByLabel(/^Height/);
  await height.fill("9 m");
  await book.open("Write the stock down");
  await expect(book.part.getByRole("alert").last()).toContainText("outside");
  await height.fill("162");
  await book.open("Write the stock down");
  await expect(book.part.getByText("Riser 162 mm", { exact: true })).toBeVisible();
  // It is on no sled's own list, and at hand for each.
  await expect(book.part.getByText(/^Risers: .*162 mm/)).toHaveCount(0);
  await book.open("To the book");
  await book.rides.getByRole("button", { name: /Max Midpack on Long Lemming/ }).click();
  await book.open("Change something by hand");
  const off = book.part.getByText("On the shelf: riser 162 mm.");
  await expect(off).toHaveCount(0);
  await book.part.getByRole("button", { name: "Riser: higher" }).click();
  await expect(book.part.getByText(/^Riser 150 mm → 162 mm/)).toBeVisible();
  await expect(off).toBeVisible();
  await book.part.getByLabel(/^Why/).fill("the spare one");
  await book.open("Write this change down");
  await expect(book.heading("Work list")).toBeVisible();
  await expect(book.part.getByText(/162 mm/).first()).toBeVisible();
  // Taken away: how the sled stands is told, not changed. A narrow window shows who rides what on the first screen alone.
  await book.open("To Max Midpack on Long Lemming (demo)");
  await people.click();
  await book.open("Parts on the shelf");
  await book.part.getByText("Risers in stock").click();
  await book.part.getByRole("button", { name: "Remove riser 1" }).click();
  await book.open("Write the stock down");
  await expect(book.part.getByText("Nothing lies on it.")).toBeVisible();
  await book.open("To the book");
  await expect(book.row(/^Riser 162 mm/)).toBeVisible();
  await book.open("Change something by hand");
  await expect(book.part.getByRole("alert")).toContainText("is not in this sled's stock");
});

test("the season is drawn and told, two moments lie over each other on the stage, and what worked is found", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await book.open("The season");
  await expect(book.part.locator("svg.season")).toBeVisible();
  const rows = book.part.getByRole("table", { name: /^Set-ups/ }).getByRole("row");
  expect(await rows.count()).toBeGreaterThan(3);
  await expect(book.part.getByText(/→/).last()).toBeVisible();
  await book.open("Show them on the stage");
  await expect(page).toHaveURL(/#start\/own/);
  await expect(page.getByRole("checkbox", { name: /show the set-up of 2026-\d\d-\d\d as a dashed outline/ })).toBeChecked();
  await expect(page.locator(".ghost-edge")).toHaveCount(1);
  // The book is as it was left.
  await page.getByRole("link", { name: "Book" }).click();
  await expect(book.heading("The season")).toBeVisible();
  await book.open("Go back to one of them");
  await expect(book.part.getByText("What worked for this rider in such conditions")).toBeVisible();
  await book.part.getByLabel("Snow").selectOption("not written down");
  await book.part.getByLabel("How rough").selectOption("not written down");
  await book.part.getByLabel(/^Air temperature/).fill("");
  await expect(book.part.getByText(/Complaints eased by/).first()).toBeVisible();
});

test("the card is printed on one page, and entries are saved as a table", async ({ page }) => {
  const book = new Book(page);
  await book.demo();
  await expect(book.part.getByRole("button", { name: "Print the card" })).toBeEnabled();
  for (const [paper, box] of [
    ["A4", /\/MediaBox \[0 0 59[45][.\d]* 84[12][.\d]*\]/g],
    ["Letter", /\/MediaBox \[0 0 612 792\]/g],
  ] as const) {
    await book.part.getByRole("radio", { name: paper }).check();
    await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
    const card = page.locator("main.book .card-place svg.card");
    await expect(card).toHaveCount(1);
    for (const words of ["Max Midpack on Long Lemming", "Stands so since 2026-02-14", "Changed last", "Tick off after every change", "licensed clinician"]) {
      await expect(card).toContainText(words);
    }
    const text = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    expect(text.match(/\/Type \/Page\b(?!s)/g), "one page").toHaveLength(1);
    expect(text.match(box), "of the paper's size").not.toBeNull();
    await page.evaluate(() => window.dispatchEvent(new Event("afterprint")));
  }
  await book.open("All entries");
  const download = page.waitForEvent("download");
  await book.open("Save these as a table (CSV)");
  const file = await download;
  expect(file.suggestedFilename()).toBe("sledstance-book.csv");
  const table = await readFile(await file.path(), "utf8");
  expect(table).toMatch(/^id,happened_utc,/);
  expect(table.split("\r\n").length).toBeGreaterThan(20);
});

for (const theme of ["Day", "Night"]) {
  test(`every part of the book is accessible and no wider than the window, ${theme}`, async ({ page }, info) => {
    const book = new Book(page);
    await page.goto("./#book");
    await page.getByText(theme, { exact: true }).click();
    const look = async (name: string) => {
      await expectAccessible(page);
      await expectNoSidewaysScroll(page);
      await page.screenshot({ path: `results/${info.project.name}-book-${name}-${theme.toLowerCase()}.png`, fullPage: true });
    };
    await look("empty");
    await book.demo();
    await look("now");
    for (const [name, part] of [
      ["What did the rider say?", "said"],
      ["Change something by hand", "change"],
      ["Work list", "work"],
      ["Go back to …", "back"],
      ["Move it to another sled", "move"],
      ["Write something else down", "write"],
      ["All entries", "entries"],
      ["The season", "season"],
    ] as const) {
      await book.open(name);
      await expect(book.part.getByRole("button", { name: /^To Max Midpack/ })).toBeVisible();
      await look(part);
      await book.part.getByRole("button", { name: /^To Max Midpack/ }).click();
    }
    await book.rides.getByRole("button", { name: "Riders and sleds" }).click();
    await look("people");
    await book.open("To the book");
    await book.rides.getByRole("button", { name: "From the start place" }).click();
    await look("put");
  });
}
