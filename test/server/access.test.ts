import { connect } from "node:net";
import { afterEach, describe, expect, it } from "vitest";
import { deviceSchema, statusSchema } from "../../src/app/api/access.js";
import { openJobStore } from "../../src/store/jobs/job-store.js";
import { idFor, openTestBench, type TestBench } from "../support/bench.js";

const outside = { remoteAddress: "192.0.2.50", headers: { host: "192.0.2.1:4780" } };

let test: TestBench | undefined;
afterEach(async () => {
  await test?.close();
  test = undefined;
});

function open(more: Parameters<typeof openTestBench>[0] = {}): TestBench {
  test = openTestBench(more);
  return test;
}

function cookieOf(headers: { readonly "set-cookie"?: string | string[] | undefined }): string {
  const [cookie = ""] = [headers["set-cookie"] ?? ""].flat();
  return cookie.split(";", 1)[0] ?? "";
}

describe("who may come in", () => {
  it.each([
    ["localhost:4780", 200],
    ["127.0.0.1:4780", 200],
    ["[::1]:4780", 200],
    ["LOCALHOST:4780", 200],
    ["localhost", 403],
    ["localhost:4781", 403],
    ["192.0.2.1:4780", 403],
    ["evil.example:4780", 403],
    ["localhost:4780.evil.example", 403],
    ["localhost:4780@evil.example", 403],
  ])("by the host %s: %i", async (host, status) => {
    const asked = await open().ask("GET", "/status", undefined, { headers: { host } });
    expect(asked.status).toBe(status);
    if (status === 403) expect(asked.body).toMatchObject({ error: { code: "host-refused" } });
  });

  it.each([
    ["http://localhost:4780", 200],
    ["http://LOCALHOST:4780", 200],
    ["https://localhost:4780", 403],
    ["http://localhost:4781", 403],
    ["http://127.0.0.1:4780", 403],
    ["http://evil.example", 403],
    ["null", 403],
  ])("from a page of %s: %i", async (origin, status) => {
    const asked = await open().ask("GET", "/status", undefined, { headers: { origin } });
    expect(asked.status).toBe(status);
    if (status === 403) expect(asked.body).toMatchObject({ error: { code: "origin-refused" } });
  });

  it("not to change anything from a page elsewhere, even if it does not say from where", async () => {
    const bench = open();
    const send = (site: string) =>
      bench.ask("POST", "/practice", { board: "nowhere" }, { headers: { "sec-fetch-site": site } });
    expect((await send("cross-site")).body).toMatchObject({ error: { code: "origin-refused" } });
    expect((await send("same-site")).body).toMatchObject({ error: { code: "origin-refused" } });
    expect((await send("same-origin")).body).toMatchObject({ error: { code: "board-unknown" } });
  });
});

describe("what is sent", () => {
  it("must be JSON", async () => {
    const bench = open();
    const asked = await bench.ask(
      "POST",
      "/pairing",
      { code: "x" },
      { headers: { "content-type": "text/plain" } },
    );
    expect(asked).toMatchObject({ status: 400, body: { error: { code: "request-unreadable" } } });
    const broken = await bench.ask("POST", "/pairing", undefined, {
      payload: '{"code": ',
      headers: { "content-type": "application/json" },
    });
    expect(broken.status).toBe(422);
  });

  it("may not be large", async () => {
    const asked = await open().ask("POST", "/pairing", { code: "x".repeat(300_000) });
    expect(asked).toMatchObject({ status: 413, body: { error: { code: "request-too-large" } } });
  });

  it("may not have an endless address", async () => {
    const asked = await open().ask("GET", `/boards?${"x".repeat(5000)}`);
    expect(asked).toMatchObject({ status: 413, body: { error: { code: "request-too-large" } } });
  });

  it("to an address that there is not finds nothing", async () => {
    const bench = open();
    expect(await bench.ask("GET", "/nothing?x=1")).toMatchObject({
      status: 404,
      body: { error: { code: "address-unknown", message: "There is nothing at GET /api/v1/nothing." } },
    });
    expect((await bench.ask("DELETE", "/jobs")).status).toBe(404);
  });

  it("that is no HTTP at all gets one sentence", async () => {
    const bench = open();
    await bench.app.listen({ port: 0, host: "127.0.0.1" });
    const address = bench.app.server.address();
    const port = typeof address === "object" && address !== null ? address.port : 0;
    const text = await new Promise<string>((resolve, reject) => {
      const socket = connect(port, "127.0.0.1", () => socket.write("GARBAGE\r\n\r\n"));
      let answer = "";
      socket.setEncoding("utf8");
      socket.on("data", (chunk: string) => {
        answer += chunk;
      });
      socket.on("end", () => resolve(answer));
      socket.on("error", reject);
    });
    expect(text).toMatch(/^HTTP\/1\.1 400 Bad Request\r\n/);
    expect(JSON.parse(text.split("\r\n\r\n")[1] ?? "")).toEqual({
      error: { code: "request-unreadable", message: "The request cannot be read: it is no HTTP request." },
    });
  });
});

describe("every answer", () => {
  it("lets only the bench's own files run and nobody frame it", async () => {
    const { headers } = await open().ask("GET", "/status");
    expect(headers["content-security-policy"]).toContain("default-src 'none'; script-src 'self'");
    expect(headers["content-security-policy"]).toContain("frame-ancestors 'none'");
    expect(headers["content-security-policy"]).not.toMatch(/unsafe|\*/);
    expect(headers["x-content-type-options"]).toBe("nosniff");
    expect(headers["cache-control"]).toBe("no-store");
  });

  it("also one of refusal", async () => {
    const { headers } = await open().ask("GET", "/status", undefined, { headers: { host: "x" } });
    expect(headers["content-security-policy"]).toContain("default-src 'none'");
  });

  it("is compressed where that pays and the client can read it", async () => {
    const bench = open();
    const asked = await bench.app.inject({
      url: "/api/v1/boards/merrow",
      headers: { host: "localhost:4780", "accept-encoding": "gzip" },
    });
    expect(asked.headers["content-encoding"]).toBe("gzip");
    expect(asked.rawPayload.length).toBeLessThan(40_000);
  });
});

describe("a bench that is not shared", () => {
  it("knows its own machine as host and needs no code", async () => {
    const { body } = await open().ask("GET", "/status");
    expect(statusSchema.parse(body)).toEqual({
      version: "1.2.3",
      sharing: false,
      access: "host",
      device: null,
      pairing: null,
    });
  });
});

describe("a shared bench", () => {
  it("answers a stranger nothing but status and pairing", async () => {
    const bench = open({ isShared: true });
    const status = statusSchema.parse((await bench.ask("GET", "/status", undefined, outside)).body);
    expect(status).toMatchObject({ sharing: true, access: "unpaired", pairing: null });
    for (const path of ["/jobs", "/boards", "/devices", `/jobs/${idFor("j")}`, "/practice/x"])
      expect(await bench.ask("GET", path, undefined, outside)).toMatchObject({
        status: 401,
        body: { error: { code: "not-paired" } },
      });
    const stream = await bench.app.inject({ url: "/api/v1/stream", ...outside });
    expect(stream.statusCode).toBe(401);
  });

  it("pairs a device once for each code, which its own machine shows", async () => {
    const bench = open({ isShared: true, addresses: () => ["http://192.0.2.1:4780"] });
    const shown = statusSchema.parse((await bench.ask("GET", "/status")).body).pairing;
    expect(shown?.addresses).toEqual(["http://192.0.2.1:4780"]);
    expect(shown?.code).toMatch(/^[A-HJ-NP-Z2-9]{4}-[A-HJ-NP-Z2-9]{4}$/);
    const typed = shown?.code.toLowerCase().replace("-", " ");
    const paired = await bench.ask("POST", "/pairing", { code: typed, label: "Tablet" }, outside);
    expect(paired.status).toBe(200);
    expect(deviceSchema.parse(paired.body)).toMatchObject({ label: "Tablet", current: true });
    const [full = ""] = [paired.headers["set-cookie"] ?? ""].flat();
    expect(full).toMatch(/; Path=\/; HttpOnly; SameSite=Strict; Max-Age=\d+$/);
    const again = await bench.ask("POST", "/pairing", { code: shown?.code }, outside);
    expect(again).toMatchObject({ status: 403, body: { error: { code: "code-wrong" } } });
    const headers = { ...outside.headers, cookie: cookieOf(paired.headers) };
    expect((await bench.ask("GET", "/jobs", undefined, { ...outside, headers })).status).toBe(200);
    const status = statusSchema.parse(
      (await bench.ask("GET", "/status", undefined, { ...outside, headers })).body,
    );
    expect(status).toMatchObject({ access: "paired", pairing: null, device: { label: "Tablet" } });
    const wrong = { ...outside.headers, cookie: `${cookieOf(paired.headers)}x` };
    expect((await bench.ask("GET", "/jobs", undefined, { ...outside, headers: wrong })).status).toBe(401);
  });

  it("pauses after five wrong codes, longer each time, and takes another code", async () => {
    const bench = open({ isShared: true });
    const code = bench.bench.pairing.code;
    const attempt = (text: string) => bench.ask("POST", "/pairing", { code: text }, outside);
    const answers = [];
    for (let i = 0; i < 5; i += 1) answers.push((await attempt("AAAA-AAAA")).status);
    expect(answers).toEqual([403, 403, 403, 403, 429]);
    expect(bench.bench.pairing.code).not.toBe(code);
    expect(await attempt(bench.bench.pairing.code)).toMatchObject({
      status: 429,
      body: { error: { code: "tries-used-up", message: expect.stringContaining("a minute") } },
    });
    bench.wait(61_000);
    for (let i = 0; i < 5; i += 1) await attempt("AAAA-AAAA");
    bench.wait(61_000);
    expect((await attempt(bench.bench.pairing.code)).status).toBe(429);
    bench.wait(61_000);
    expect((await attempt(bench.bench.pairing.code)).status).toBe(200);
  });

  it("lets devices go, each itself and the host any", async () => {
    const bench = open({ isShared: true });
    const pair = async (label: string) => {
      const { body, headers } = await bench.ask(
        "POST",
        "/pairing",
        { code: bench.bench.pairing.code, label },
        outside,
      );
      const as = { ...outside, headers: { ...outside.headers, cookie: cookieOf(headers) } };
      return { device: deviceSchema.parse(body), as };
    };
    const one = await pair("One");
    const two = await pair("Two");
    const devices = deviceSchema.array().parse((await bench.ask("GET", "/devices", undefined, one.as)).body);
    expect(devices.map(({ label, current }) => [label, current]).sort()).toEqual([
      ["One", true],
      ["Two", false],
    ]);
    const path = `/devices/${two.device.id}`;
    expect(await bench.ask("DELETE", path, undefined, one.as)).toMatchObject({
      status: 403,
      body: { error: { code: "host-only" } },
    });
    expect((await bench.ask("DELETE", path)).status).toBe(200);
    expect((await bench.ask("GET", "/jobs", undefined, two.as)).status).toBe(401);
    expect(await bench.ask("DELETE", path)).toMatchObject({ body: { error: { code: "device-unknown" } } });
    const own = await bench.ask("DELETE", `/devices/${one.device.id}`, undefined, one.as);
    expect(own.status).toBe(200);
    expect([own.headers["set-cookie"]].flat()[0]).toContain("Max-Age=0");
    expect((await bench.ask("GET", "/jobs", undefined, one.as)).status).toBe(401);
  });

  it("forgets a device that was not seen for a month", async () => {
    const bench = open({ isShared: true });
    const { headers } = await bench.ask("POST", "/pairing", { code: bench.bench.pairing.code }, outside);
    const as = { ...outside, headers: { ...outside.headers, cookie: cookieOf(headers) } };
    const day = 24 * 60 * 60 * 1000;
    bench.wait(20 * day);
    expect((await bench.ask("GET", "/jobs", undefined, as)).status).toBe(200);
    bench.wait(20 * day);
    expect((await bench.ask("GET", "/jobs", undefined, as)).status).toBe(200);
    bench.wait(31 * day);
    expect((await bench.ask("GET", "/jobs", undefined, as)).status).toBe(401);
    expect(bench.jobs.devices()).toEqual([]);
  });

  it("keeps of a device's key only a hash", async () => {
    const jobs = openJobStore(":memory:");
    const bench = open({ isShared: true, jobs });
    const { headers } = await bench.ask("POST", "/pairing", { code: bench.bench.pairing.code }, outside);
    const key = cookieOf(headers).split("=")[1] ?? "";
    expect(key.length).toBeGreaterThan(40);
    expect(JSON.stringify(jobs.devices())).not.toContain(key);
    expect(jobs.deviceOf(key)).toBeUndefined();
  });
});
