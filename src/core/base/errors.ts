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
  "job-unknown": { template: "There is no job '{job}'.{hint}", httpStatus: 404, exitCode: 3 },
  "entry-conflict": {
    template: "Entry {id} is in the log already with other content; nothing was added.",
    httpStatus: 409,
    exitCode: 3,
  },
  "part-unknown": { template: "There is no part '{part}' on {board}.{hint}", httpStatus: 404, exitCode: 3 },
  "type-unknown": { template: "There is no part type '{type}'.{hint}", httpStatus: 404, exitCode: 3 },
  "photo-unknown": {
    template: "There is no picture of the {side} side of this job's board.",
    httpStatus: 404,
    exitCode: 3,
  },
  "step-unknown": { template: "{reason}", httpStatus: 422, exitCode: 3 },
  "game-unknown": {
    template: "There is no practice game '{game}' any more; start a new one.",
    httpStatus: 404,
    exitCode: 3,
  },
  "game-open": { template: "The game is still open: {reason}.", httpStatus: 409, exitCode: 3 },
  "game-over": { template: "The game is over; start a new one.", httpStatus: 409, exitCode: 3 },
  "work-cancelled": { template: "The work was cancelled.", httpStatus: 409, exitCode: 3 },
  "database-newer": {
    template:
      "The job database {file} was written by a newer boardwake (format {found}, and this one knows up to {known}).",
    httpStatus: 500,
    exitCode: 3,
  },
  "database-locked": {
    template: "The job database {file} is in use by another program.",
    httpStatus: 503,
    exitCode: 3,
  },
  "database-unusable": {
    template: "Cannot use the job database {file}: {reason}.",
    httpStatus: 500,
    exitCode: 3,
  },
  "database-broken": {
    template: "The job database {file} is damaged: {reason}.",
    httpStatus: 500,
    exitCode: 3,
  },
  "port-refused": {
    template: "Cannot listen on {host} port {port}: {reason}.",
    httpStatus: 500,
    exitCode: 3,
  },
  "page-missing": {
    template: "The page is not built: {folder} holds no index.html.",
    httpStatus: 404,
    exitCode: 4,
  },
  "address-unknown": { template: "There is nothing at {method} {path}.", httpStatus: 404, exitCode: 3 },
  "host-refused": {
    template: "This bench does not answer to the name '{host}'.",
    httpStatus: 403,
    exitCode: 3,
  },
  "origin-refused": {
    template: "Pages of '{origin}' may not speak to this bench.",
    httpStatus: 403,
    exitCode: 3,
  },
  "not-paired": { template: "This device is not paired with the bench.", httpStatus: 401, exitCode: 3 },
  "host-only": {
    template: "Only the machine that runs the bench may do this.",
    httpStatus: 403,
    exitCode: 3,
  },
  "code-wrong": { template: "That is not the pairing code; {left} left.", httpStatus: 403, exitCode: 3 },
  "tries-used-up": {
    template: "Too many wrong pairing codes; try again in {minutes}.",
    httpStatus: 429,
    exitCode: 3,
  },
  "device-unknown": { template: "There is no paired device '{device}'.", httpStatus: 404, exitCode: 3 },
  "request-too-large": { template: "The request is larger than {limit}.", httpStatus: 413, exitCode: 3 },
  "request-unreadable": { template: "The request cannot be read: {reason}.", httpStatus: 400, exitCode: 3 },
  "too-busy": { template: "The bench is busy: {reason}.", httpStatus: 503, exitCode: 3 },
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
