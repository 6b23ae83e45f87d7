import type { z } from "zod";
import { type ErrorBody, errorBodySchema } from "../../app/api/shapes.js";

const prefix = "/api/v1";

/** What the server said no to, or why it could not be reached. */
export class RequestError extends Error {
  /** `refused`: the server answered with an error; `unreachable`: no answer came. */
  readonly kind: "refused" | "unreachable";
  readonly status: number;
  readonly body: ErrorBody["error"];

  constructor(kind: "refused" | "unreachable", status: number, body: ErrorBody["error"]) {
    super(body.message);
    this.name = "RequestError";
    this.kind = kind;
    this.status = status;
    this.body = body;
  }
}

/** What goes with a request. */
export interface RequestOptions {
  readonly method?: "GET" | "POST" | "DELETE";
  /** Sent as JSON. */
  readonly body?: unknown;
  readonly signal?: AbortSignal;
}

/**
 * Asks the server and checks that its answer has the shape it should have. Throws `RequestError`; an abort is passed
 * on as it is.
 */
export async function request<T extends z.ZodType>(
  path: string,
  schema: T,
  { method = "GET", body, signal }: RequestOptions = {},
): Promise<z.output<T>> {
  const response = await reach(path, {
    method,
    credentials: "same-origin",
    headers: body === undefined ? {} : { "content-type": "application/json" },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    ...(signal === undefined ? {} : { signal }),
  });
  const answer: unknown = await response.json().catch(() => undefined);
  if (!response.ok) throw new RequestError("refused", response.status, errorOf(answer, response.status));
  const parsed = schema.safeParse(answer);
  if (parsed.success) return parsed.data;
  const [issue] = parsed.error.issues;
  throw new RequestError("refused", response.status, {
    code: "answer-shape",
    message: "The server answered in a form this page does not know.",
    ...(issue === undefined ? {} : { where: `${issue.path.join(".")}: ${issue.message}` }),
    hint: "Reload the page: it is probably older than the program.",
  });
}

async function reach(path: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(`${prefix}${path}`, init);
  } catch (cause) {
    if (init.signal?.aborted === true) throw cause;
    throw new RequestError("unreachable", 0, {
      code: "unreachable",
      message: "The program does not answer.",
      hint: "What you enter is kept here and sent when it answers again.",
    });
  }
}

function errorOf(answer: unknown, status: number): ErrorBody["error"] {
  const parsed = errorBodySchema.safeParse(answer);
  if (parsed.success) return parsed.data.error;
  return {
    code: `status-${status}`,
    message: `The program refused this (status ${status}) without a reason.`,
  };
}

/** Address of the event stream. */
export const streamAddress = `${prefix}/stream`;

/** Address under which a job is downloaded as a log that the command line reads. */
export function exportAddress(job: string): string {
  return `${prefix}/jobs/${encodeURIComponent(job)}/export`;
}

/** Address of something below the API that the browser fetches by itself: a picture, a file to download. */
export function apiAddress(path: string): string {
  return `${prefix}${path}`;
}
