import type { IncomingMessage, ServerResponse } from "node:http";
import type { Bench } from "../bench.js";
import { eventText, type Listener } from "../hub.js";
import { errorBody, knownError } from "./error-body.js";
import { safeHeaders } from "./headers.js";

/** Sends events to a client until it goes; `about` limits findings and progress to one job or game. */
export function openStream(
  bench: Bench,
  request: IncomingMessage,
  response: ServerResponse,
  about: string | undefined,
): void {
  const listener: Listener = {
    about,
    send: (text) => void response.write(text),
    waitingBytes: () => response.writableLength,
    end: () => void response.end(),
  };
  try {
    const jobs = bench.book.list().map(({ id, revision }) => ({ id, revision }));
    bench.hub.join(listener);
    response.writeHead(200, {
      ...safeHeaders,
      "content-type": "text/event-stream; charset=utf-8",
      "cache-control": "no-store",
      connection: "keep-alive",
      // Whatever stands between is not to gather events.
      "x-accel-buffering": "no",
    });
    response.write("retry: 1000\n\n");
    response.write(eventText({ type: "hello", version: bench.parts.version, jobs }, 0));
  } catch (error) {
    bench.hub.leave(listener);
    const known = knownError(error);
    response.writeHead(known.httpStatus, { ...safeHeaders, "content-type": "application/json" });
    response.end(JSON.stringify(errorBody(known)));
    return;
  }
  const leave = (): void => bench.hub.leave(listener);
  request.on("close", leave);
  response.on("close", leave);
  response.on("error", leave);
}
