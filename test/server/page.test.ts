import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readWebFiles } from "../../src/server/http/web-files.js";
import { openTestBench, type TestBench } from "../support/bench.js";

let folder = "";
let test: TestBench;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), "boardwake-web-"));
  mkdirSync(join(folder, "assets"));
  writeFileSync(join(folder, "index.html"), "<!doctype html><title>Bench</title>");
  writeFileSync(join(folder, "assets", "index-1a2b.js"), "export const x = 1;\n".repeat(200));
  writeFileSync(join(folder, "assets", "map.wasm"), "no kind that we serve");
  test = openTestBench({ webFiles: readWebFiles(folder) });
});
afterAll(async () => {
  await test.close();
  rmSync(folder, { recursive: true, force: true });
});

function get(url: string, headers: Record<string, string> = {}) {
  return test.app.inject({ url, headers: { host: "localhost:4780", ...headers } });
}

describe("the page", () => {
  it("is at the root and at every place within it", async () => {
    for (const url of ["/", "/jobs/1/parts/U1", "/practice?board=merrow"]) {
      const asked = await get(url);
      expect([asked.statusCode, asked.headers["content-type"]]).toEqual([200, "text/html; charset=utf-8"]);
      expect(asked.headers["cache-control"]).toBe("no-cache");
      expect(asked.headers["content-security-policy"]).toContain("script-src 'self'");
    }
  });

  it("has files that are kept for long, compressed where the client can read it", async () => {
    const asked = await get("/assets/index-1a2b.js", { "accept-encoding": "gzip, br" });
    expect(asked.headers).toMatchObject({
      "content-type": "text/javascript; charset=utf-8",
      "content-encoding": "gzip",
      "cache-control": "public, max-age=31536000, immutable",
    });
    expect((await get("/assets/index-1a2b.js")).body).toContain("export const x = 1;");
  });

  it("is not sent again to whoever has it", async () => {
    const { headers } = await get("/");
    const again = await get("/", { "if-none-match": String(headers["etag"]) });
    expect([again.statusCode, again.body]).toEqual([304, ""]);
  });

  it.each([
    "/assets/map.wasm",
    "/missing.js",
    "/../package.json",
    "/assets/..%2f..%2fpackage.json",
    "/%2e%2e/%2e%2e/etc/passwd.txt",
    "/assets/%00.js",
    "//etc/passwd.txt",
  ])("leads nowhere else: %s", async (url) => {
    const asked = await get(url);
    expect(asked.statusCode).toBe(404);
    expect(JSON.parse(asked.body)).toMatchObject({ error: { code: "address-unknown" } });
  });

  it("answers to no other host", async () => {
    expect((await get("/", { host: "evil.example:4780" })).statusCode).toBe(403);
  });

  it("that is not built says so", async () => {
    const empty = openTestBench({ webFiles: readWebFiles(join(folder, "nothing")) });
    const asked = await empty.app.inject({ url: "/", headers: { host: "localhost:4780" } });
    expect(JSON.parse(asked.body)).toMatchObject({ error: { code: "page-missing" } });
    await empty.close();
  });

  it("is read from its own folder only", () => {
    const other = mkdtempSync(join(tmpdir(), "boardwake-web-"));
    symlinkSync(folder, join(other, "elsewhere"));
    writeFileSync(join(other, "a.txt"), "a");
    expect([...readWebFiles(other).keys()]).toEqual(["/a.txt"]);
    rmSync(other, { recursive: true });
  });
});
