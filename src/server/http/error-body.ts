import type { ErrorBody } from "../../app/api/shapes.js";
import { Refusal, suggestionsOf } from "../../app/jobs/refusal.js";
import { BoardwakeError } from "../../core/base/errors.js";
import { reasonOf } from "../engine/messages.js";

/** Most bytes of a request's body. */
export const mostBodyBytes = 256_000;

/** The error of the catalogue for whatever was thrown; what is none of ours becomes `internal`, without a stack trace. */
export function knownError(error: unknown, mostBytes = mostBodyBytes): BoardwakeError {
  if (error instanceof BoardwakeError) return error;
  const code = typeof error === "object" && error !== null && "code" in error ? String(error.code) : "";
  switch (code) {
    case "FST_ERR_CTP_BODY_TOO_LARGE":
      return new BoardwakeError("request-too-large", { limit: sizeText(mostBytes) }, error);
    case "FST_ERR_CTP_INVALID_MEDIA_TYPE":
      return new BoardwakeError(
        "request-unreadable",
        { reason: "its content is not application/json" },
        error,
      );
    case "FST_ERR_CTP_INVALID_CONTENT_LENGTH":
      return new BoardwakeError("request-unreadable", { reason: "its length is not as announced" }, error);
    case "FST_ERR_BAD_URL":
      return new BoardwakeError("request-unreadable", { reason: "its address is malformed" }, error);
    default:
      return new BoardwakeError("internal", { reason: reasonOf(error) }, error);
  }
}

function sizeText(bytes: number): string {
  return bytes < 1e6 ? `${bytes / 1000} kB` : `${bytes / 1e6} MB`;
}

/** The body that tells of an error. */
export function errorBody(error: BoardwakeError): ErrorBody {
  if (!(error instanceof Refusal)) {
    const suggestions = suggestionsOf(error.details["hint"]);
    return {
      error: {
        code: error.code,
        message: error.message,
        ...(suggestions.length === 0 ? {} : { suggestions }),
      },
    };
  }
  const { code, message, where, hint } = error.problem;
  const suggestions = suggestionsOf(hint);
  return {
    error: {
      code,
      message,
      ...(where.field === undefined ? {} : { where: where.field }),
      ...(hint === undefined ? {} : { hint }),
      ...(suggestions.length === 0 ? {} : { suggestions }),
    },
  };
}
