// A recorded run of any length for tests and measuring: a sled that shakes, invented.

import { createWriteStream } from "node:fs";

/** Writes a run of so many bytes, a hundred rows for each second.
 * @param {string} path
 * @param {number} bytes */
export async function write(path, bytes) {
  const out = createWriteStream(path);
  out.write("time,acc x [g],acc z [g],speed [km/h]\n");
  let size = 0;
  for (let i = 0; size < bytes; ) {
    let chunk = "";
    for (let k = 0; k < 20_000; k += 1, i += 1) {
      const still = i < 600;
      const x = still ? 0 : 0.4 * Math.sin(i / 37) + (i % 9000 < 30 ? -2.5 : 0);
      const z = still ? 1 : 1 + 0.5 * Math.sin(i / 23);
      chunk += `${(i / 100).toFixed(2)},${x.toFixed(5)},${z.toFixed(5)},${still ? "0.00" : "45.25"}\n`;
    }
    size += chunk.length;
    if (!out.write(chunk)) await new Promise((go) => out.once("drain", go));
  }
  await new Promise((go) => out.end(go));
}
