// What the page's own thread does, task by task, as the browser itself notes it.

/** Runs `act` and resolves to the tasks of the page's thread meanwhile, in ms of processor time: what else the machine
 * does is not the page's.
 * @param {import("@playwright/test").Page} page
 * @param {() => Promise<void>} act
 * @returns {Promise<number[]>} */
export async function tasksDuring(page, act) {
  const browser = page.context().browser();
  if (!browser) throw new Error("tasks are noted by a browser, and this page has none");
  await browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
  await act();
  const { traceEvents } = JSON.parse((await browser.stopTracing()).toString());
  const thread = ({ pid, tid }) => `${pid}/${tid}`;
  const main = new Set(traceEvents.filter((e) => e.name === "thread_name" && e.args?.name === "CrRendererMain").map(thread));
  return traceEvents.filter((e) => e.name === "RunTask" && e.tdur !== undefined && main.has(thread(e))).map((e) => e.tdur / 1000);
}
