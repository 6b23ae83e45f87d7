/**
 * Every error boardwake raises on purpose, in one table: template, HTTP status and exit code.
 * `docs/guide/errors.md` lists the same codes; a test compares the two in both directions.
 */
export const errorCatalogue = {
  usage: { template: "{reason}", httpStatus: 400, exitCode: 2 },
  "node-too-old": {
    template: "boardwake needs Node 20 or newer; this is {found}.",
    httpStatus: 500,
    exitCode: 2,
  },
  "file-unreadable": { template: "Cannot read {file}: {reason}.", httpStatus: 400, exitCode: 3 },
  "file-unwritable": { template: "Cannot write {file}: {reason}.", httpStatus: 500, exitCode: 3 },
  "input-invalid": { template: "{problem}", httpStatus: 422, exitCode: 3 },
  "board-unknown": { template: "There is no board called '{board}'.{hint}", httpStatus: 404, exitCode: 3 },
  "log-board-mismatch": {
    template: "This log was kept on board '{logBoard}', not on '{board}'; give the board it belongs to.",
    httpStatus: 409,
    exitCode: 3,
  },
  "data-broken": {
    template: "The installed data file {file} is damaged: {problem}",
    httpStatus: 500,
    exitCode: 4,
  },
  internal: { template: "Something went wrong inside boardwake: {reason}.", httpStatus: 500, exitCode: 4 },
} as const satisfies Record<string, { template: string; httpStatus: number; exitCode: number }>;

export type ErrorCode = keyof typeof errorCatalogue;

/** An operation that could not be done. The message is the catalogue's template with `details` filled in. */
export class BoardwakeError extends Error {
  readonly code: ErrorCode;
  readonly details: Readonly<Record<string, string>>;

  constructor(code: ErrorCode, details: Readonly<Record<string, string>>, cause?: unknown) {
    super(fillTemplate(errorCatalogue[code].template, details), cause === undefined ? undefined : { cause });
    this.name = "BoardwakeError";
    this.code = code;
    this.details = details;
  }

  get exitCode(): number {
    return errorCatalogue[this.code].exitCode;
  }

  get httpStatus(): number {
    return errorCatalogue[this.code].httpStatus;
  }
}

function fillTemplate(template: string, details: Readonly<Record<string, string>>): string {
  return template.replace(/\{(\w+)\}/g, (_, key: string) => details[key] ?? "");
}
