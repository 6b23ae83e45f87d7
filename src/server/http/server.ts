import { type IncomingMessage, STATUS_CODES } from "node:http";
import { gzip } from "node:zlib";
import Fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from "fastify";
import { BoardwakeError } from "../../core/base/errors.js";
import { readKey } from "../access/cookie.js";
import { type Doors, isLoopback } from "../access/doors.js";
import type { Bench } from "../bench.js";
import type { Caller, Endpoint } from "./endpoint.js";
import { apiRoot, endpoints } from "./endpoints.js";
import { errorBody, knownError, mostBodyBytes } from "./error-body.js";
import { safeHeaders } from "./headers.js";
import { openApiDocument } from "./openapi.js";
import { openStream } from "./stream.js";
import type { WebFile } from "./web-files.js";

/** What the HTTP server serves. */
export interface HttpOptions {
  readonly bench: Bench;
  readonly doors: Doors;
  /** Files of the page by their address. */
  readonly webFiles: ReadonlyMap<string, WebFile>;
  /** Folder they came from, for the error that there are none. */
  readonly webFolder: string;
}

const longestAddress = 4000;
const compressedFromBytes = 4000;

/**
 * The HTTP server: checks who knocks, reads what is asked, calls, and answers with JSON, an event stream or a file of
 * the page. Every error becomes one of the catalogue.
 */
export function createHttpServer(options: HttpOptions): FastifyInstance {
  const { bench, doors } = options;
  const app = Fastify({
    bodyLimit: mostBodyBytes,
    requestTimeout: 30_000,
    routerOptions: { maxParamLength: 200, ignoreTrailingSlash: false },
    // Answers of the parser itself, before any of our code: still one sentence and never a trace.
    clientErrorHandler: (error, socket) => {
      if (socket.destroyed || !socket.writable) return;
      const known = new BoardwakeError("request-unreadable", { reason: "it is no HTTP request" }, error);
      const body = JSON.stringify(errorBody(known));
      socket.end(
        `HTTP/1.1 400 ${STATUS_CODES[400]}\r\nContent-Type: application/json\r\nConnection: close\r\nContent-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`,
      );
    },
    frameworkErrors: (error, _request, reply) => sendError(reply, error),
  });
  app.removeAllContentTypeParsers();
  app.addContentTypeParser("application/json", { parseAs: "string" }, (_request, body, done) =>
    done(null, body),
  );
  app.addHook("onRequest", async (request, reply) => {
    reply.headers(safeHeaders);
    if (request.url.length > longestAddress)
      throw new BoardwakeError("request-too-large", { limit: `an address of ${longestAddress} characters` });
    doors.check({
      method: request.method,
      host: request.headers.host,
      origin: request.headers.origin,
      fetchSite: headerOf(request.raw, "sec-fetch-site"),
    });
  });
  app.setErrorHandler((error, request, reply) => sendError(reply, error, request.routeOptions.bodyLimit));
  app.setNotFoundHandler((request, reply) => {
    if (isPageAddress(request)) return sendFile(options, request, reply);
    const path = request.url.split("?", 1)[0] ?? "";
    return sendError(
      reply,
      new BoardwakeError("address-unknown", { method: request.method, path: path.slice(0, 200) }),
    );
  });
  for (const one of endpoints) addEndpoint(app, bench, one);
  app.get(`${apiRoot}/openapi.json`, () => openApiDocument(bench.parts.version));
  app.get(`${apiRoot}/stream`, (request, reply) => {
    checkAccess("paired", callerOf(bench, request));
    reply.hijack();
    openStream(bench, request.raw, reply.raw, aboutOf(request.query));
  });
  return app;
}

function addEndpoint(app: FastifyInstance, bench: Bench, { facts, handle }: Endpoint): void {
  app.route({
    method: facts.method,
    url: `${apiRoot}${facts.path.replace(/\{(\w+)\}/g, ":$1")}`,
    ...(facts.mostBytes === undefined ? {} : { bodyLimit: facts.mostBytes }),
    // Before the body is read: a stranger cannot make the bench take in megabytes.
    onRequest: async (request) => checkAccess(facts.access, callerOf(bench, request)),
    handler: async (request, reply) => {
      const text = typeof request.body === "string" ? request.body : "";
      const { body, raw, headers } = await handle(bench, {
        params: request.params,
        query: request.query,
        text,
        caller: callerOf(bench, request),
      });
      reply.headers({ "cache-control": "no-store", ...headers });
      if (raw === undefined) return sendJson(request, reply, body);
      return reply.type(raw.type).send(typeof raw.bytes === "string" ? raw.bytes : Buffer.from(raw.bytes));
    },
  });
}

/** Big answers are compressed: findings are ten times smaller then, which a tablet on a weak network feels. */
async function sendJson(request: FastifyRequest, reply: FastifyReply, body: unknown): Promise<FastifyReply> {
  const text = JSON.stringify(body);
  reply.type("application/json; charset=utf-8");
  const isWanted = /\bgzip\b/.test(headerOf(request.raw, "accept-encoding") ?? "");
  if (!isWanted || text.length < compressedFromBytes) return reply.send(text);
  const bytes = await new Promise<Buffer>((resolve, reject) => {
    gzip(text, { level: 1 }, (error, result) => (error === null ? resolve(result) : reject(error)));
  });
  return reply.headers({ "content-encoding": "gzip", vary: "accept-encoding" }).send(bytes);
}

function sendError(reply: FastifyReply, error: unknown, mostBytes?: number): FastifyReply {
  const known = knownError(error, mostBytes);
  return reply
    .headers({ ...safeHeaders, "cache-control": "no-store" })
    .status(known.httpStatus)
    .type("application/json; charset=utf-8")
    .send(JSON.stringify(errorBody(known)));
}

function callerOf({ parts, pairing }: Bench, request: FastifyRequest): Caller {
  if (isLoopback(request.socket.remoteAddress)) return { kind: "host" };
  const device = parts.isShared ? pairing.deviceOf(readKey(request.headers.cookie)) : undefined;
  return device === undefined ? { kind: "stranger" } : { kind: "device", device };
}

function checkAccess(access: Endpoint["facts"]["access"], caller: Caller): void {
  if (access === "anybody" || caller.kind === "host") return;
  if (caller.kind === "stranger") throw new BoardwakeError("not-paired", {});
  if (access === "host") throw new BoardwakeError("host-only", {});
}

/** The page itself is the same for everybody, paired or not; addresses without a file are places within it. */
function isPageAddress({ method, url }: FastifyRequest): boolean {
  return (method === "GET" || method === "HEAD") && !url.startsWith("/api/");
}

function sendFile(
  { webFiles, webFolder }: HttpOptions,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  const path = request.url.split("?", 1)[0] ?? "/";
  const isPlace = !/\.[a-z0-9]+$/i.test(path);
  const file = webFiles.get(path) ?? (isPlace ? webFiles.get("/index.html") : undefined);
  if (file === undefined) {
    return sendError(
      reply,
      webFiles.size === 0
        ? new BoardwakeError("page-missing", { folder: webFolder })
        : new BoardwakeError("address-unknown", { method: request.method, path: path.slice(0, 200) }),
    );
  }
  reply.headers({
    "content-type": file.type,
    "cache-control": file.isLasting ? "public, max-age=31536000, immutable" : "no-cache",
    etag: file.tag,
    vary: "accept-encoding",
  });
  if (request.headers["if-none-match"] === file.tag) return reply.status(304).send();
  const isWanted = /\bgzip\b/.test(headerOf(request.raw, "accept-encoding") ?? "");
  if (!isWanted || file.gzip === undefined) return reply.status(200).send(file.bytes);
  return reply.status(200).header("content-encoding", "gzip").send(file.gzip);
}

function aboutOf(query: unknown): string | undefined {
  if (typeof query !== "object" || query === null || !("about" in query)) return undefined;
  return typeof query.about === "string" ? query.about.slice(0, 80) : undefined;
}

function headerOf(request: IncomingMessage, name: string): string | undefined {
  const value = request.headers[name];
  return Array.isArray(value) ? value.join(", ") : value;
}
