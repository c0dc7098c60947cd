// A plain static server for the built page: right types, 404 for what is not there, nothing else.
// It stands in for any host that the page may be put on. `node server.mjs [folder] [port]` serves by hand.

import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { createServer } from "node:http";
import { extname, join, normalize } from "node:path";
import { argv } from "node:process";
import { fileURLToPath } from "node:url";

const types = {
  ".css": "text/css; charset=utf-8",
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json",
  ".png": "image/png",
  ".svg": "image/svg+xml",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
};

export const dist = fileURLToPath(new URL("../../dist/", import.meta.url));

/** Serves `root` on a port of this machine (0: any free one). Resolves to its origin and a way to stop it. */
export async function serve(root = dist, port = 0) {
  const server = createServer((request, response) => {
    answer(root, request, response).catch(() => fail(response, 500, "the file could not be read"));
  });
  await new Promise((resolve, reject) => {
    server.once("error", reject);
    server.listen(port, "127.0.0.1", resolve);
  });
  return {
    origin: `http://127.0.0.1:${server.address().port}`,
    stop: () =>
      new Promise((resolve) => {
        server.close(resolve);
        server.closeAllConnections();
      }),
  };
}

async function answer(root, request, response) {
  if (request.method !== "GET" && request.method !== "HEAD") {
    return fail(response, 405, "only GET and HEAD are served");
  }
  let path;
  try {
    path = decodeURIComponent(new URL(request.url, "http://here").pathname);
  } catch {
    return fail(response, 400, "the address cannot be read");
  }
  // The path is absolute, so that normalising it cannot climb out of the root.
  const file = join(root, normalize(path.endsWith("/") ? `${path}index.html` : path));
  const found = await stat(file).catch(() => null);
  if (!found?.isFile()) {
    return fail(response, 404, `${path} is not here`);
  }
  response.writeHead(200, {
    "Content-Type": types[extname(file)] ?? "application/octet-stream",
    "Content-Length": found.size,
    "Cache-Control": "no-cache",
    "X-Content-Type-Options": "nosniff",
  });
  if (request.method === "HEAD") {
    return response.end();
  }
  createReadStream(file).on("error", () => response.destroy()).pipe(response);
}

function fail(response, status, words) {
  if (!response.headersSent) {
    response.writeHead(status, { "Content-Type": "text/plain; charset=utf-8" });
  }
  response.end(`${status}: ${words}\n`);
}

if (argv[1] === fileURLToPath(import.meta.url)) {
  const { origin } = await serve(argv[2] ?? dist, Number(argv[3] ?? 8080));
  console.log(`serving on ${origin}/`);
}
