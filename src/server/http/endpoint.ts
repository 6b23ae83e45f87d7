import { z } from "zod";
import { readRequest } from "../../app/api/read-request.js";
import { Refusal } from "../../app/jobs/refusal.js";
import type { StoredDevice } from "../../app/passed-in.js";
import type { ErrorCode } from "../../core/base/errors.js";
import type { Bench } from "../bench.js";

/** Who asks: this machine itself, or a paired device. */
export type Caller =
  | { readonly kind: "host" }
  | { readonly kind: "device"; readonly device: StoredDevice }
  | { readonly kind: "stranger" };

/** A request as an endpoint gets it. */
export interface RawRequest {
  readonly params: unknown;
  readonly query: unknown;
  /** The body as it came; empty if there was none. */
  readonly text: string;
  readonly caller: Caller;
}

/** What an endpoint answers: a value that is sent as JSON, or a file as it is. */
export type Reply<T> = (
  | { readonly body: T; readonly raw?: never }
  | { readonly raw: { readonly type: string; readonly bytes: string | Uint8Array }; readonly body?: never }
) & { readonly headers?: Readonly<Record<string, string>> };

/** What is said of an endpoint in the description of the API. */
export interface EndpointFacts {
  readonly method: "GET" | "POST" | "DELETE";
  /** Below `/api/v1`, with names of parameters in braces: `/jobs/{id}`. */
  readonly path: string;
  readonly summary: string;
  readonly tag: "access" | "boards" | "jobs" | "practice";
  /** Who may ask. */
  readonly access: "anybody" | "paired" | "host";
  /** Objects of texts; `nothing` where there are none. */
  readonly params: z.ZodType;
  readonly query: z.ZodType;
  readonly body: z.ZodType;
  readonly answer: z.ZodType;
  /** Most bytes of the body, where it may be larger than usual. */
  readonly mostBytes?: number;
  /** Errors besides those that every endpoint may have. */
  readonly errors: readonly ErrorCode[];
}

/** One thing that can be asked over HTTP. */
export interface Endpoint {
  readonly facts: EndpointFacts;
  /** Throws `Refusal` for a request that does not have its form, and what the work throws. */
  handle(bench: Bench, raw: RawRequest): Promise<Reply<unknown>>;
}

/** Schema of what an endpoint does not take. */
export const nothing = z.unknown();

/** Facts of an endpoint that takes nothing but its address. */
export const takesNothing = { params: nothing, query: nothing, body: nothing } as const;

/** Puts an endpoint together: what it takes is read by its schemas before the work is called. */
export function endpoint<A extends z.ZodType, P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType>(
  facts: EndpointFacts & {
    readonly params: P;
    readonly query: Q;
    readonly body: B;
    readonly answer: A;
  },
  work: (
    bench: Bench,
    input: {
      readonly params: z.output<P>;
      readonly query: z.output<Q>;
      readonly body: z.output<B>;
      readonly caller: Caller;
    },
  ) => Reply<z.input<A>> | Promise<Reply<z.input<A>>>,
): Endpoint {
  return {
    facts,
    handle: async (bench, raw) =>
      work(bench, {
        params: readPart(facts.params, raw.params, "address"),
        query: readPart(facts.query, raw.query, "query"),
        body: readRequest(Object.is(facts.body, nothing) ? "null" : raw.text, facts.body),
        caller: raw.caller,
      }),
  };
}

/** Texts of an address or a query, read by a schema. */
function readPart<T extends z.ZodType>(schema: T, value: unknown, name: string): z.output<T> {
  const read = schema.safeParse(value);
  if (read.success) return read.data;
  const [issue] = read.error.issues;
  const field = (issue?.path ?? []).map(String).join(".");
  throw new Refusal({
    code: "field-invalid",
    severity: "error",
    message: `'${field}' of the ${name} does not have its form: ${issue?.message ?? "it is wrong"}.`,
    where: { field },
  });
}
