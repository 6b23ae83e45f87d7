import { BoardwakeError } from "../core/base/errors.js";

/** An error of the way something was asked for, with its reason in one sentence. */
export function usage(reason: string): BoardwakeError {
  return new BoardwakeError("usage", { reason });
}
