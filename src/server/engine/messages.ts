import type { EngineTask, EngineWork } from "../../app/bench/engine-room.js";
import { Refusal } from "../../app/jobs/refusal.js";
import { BoardwakeError, type ErrorCode } from "../../core/base/errors.js";
import type { Problem } from "../../core/base/problem.js";

/** A piece of work on its way to the thread. */
export type OrderMessage = {
  readonly [T in EngineTask]: {
    readonly ticket: number;
    readonly task: T;
    readonly order: EngineWork[T]["order"];
  };
}[EngineTask];

/** What the thread says. */
export type ReplyMessage =
  | { readonly kind: "progress"; readonly ticket: number; readonly share: number; readonly doing: string }
  | { readonly kind: "done"; readonly ticket: number; readonly result: unknown }
  | { readonly kind: "failed"; readonly ticket: number; readonly error: PlainError };

/** An error as plain data. */
export type PlainError =
  | { readonly kind: "known"; readonly code: ErrorCode; readonly details: Readonly<Record<string, string>> }
  | { readonly kind: "refusal"; readonly problem: Problem }
  | { readonly kind: "other"; readonly reason: string };

/** What the thread is started with. `cancelled` holds the ticket of the work that should stop. */
export interface ThreadStart {
  readonly boardwake: "engine";
  readonly dataFolder: string;
  readonly cancelled: Int32Array;
}

/** True for the start of an engine thread. */
export function isThreadStart(data: unknown): data is ThreadStart {
  return typeof data === "object" && data !== null && "boardwake" in data && data.boardwake === "engine";
}

/** An error made plain. */
export function toPlainError(error: unknown): PlainError {
  if (error instanceof Refusal) return { kind: "refusal", problem: error.problem };
  if (error instanceof BoardwakeError) return { kind: "known", code: error.code, details: error.details };
  return { kind: "other", reason: reasonOf(error) };
}

/** The error that was made plain. */
export function fromPlainError(plain: PlainError): Error {
  switch (plain.kind) {
    case "refusal":
      return new Refusal(plain.problem);
    case "known":
      return new BoardwakeError(plain.code, plain.details);
    case "other":
      return new BoardwakeError("internal", { reason: plain.reason });
  }
}

/** What went wrong in one line, for the `internal` error. */
export function reasonOf(error: unknown): string {
  const reason = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
  return reason.replace(/\s+/g, " ");
}
