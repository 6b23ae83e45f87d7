import { boardFormatVersion } from "../board.js";

type Document = Readonly<Record<string, unknown>>;

/**
 * What each older format version needs to become the next one. Version 1 knew neither the side a part is on nor the
 * places of pads; without them every part is on the component side. Version 2 knew no assumed parts and pins; without
 * them all is known. So nothing but the number changes.
 */
const steps: ReadonlyMap<number, (board: Document) => Document> = new Map([
  [1, (board: Document): Document => ({ ...board, formatVersion: 2 })],
  [2, (board: Document): Document => ({ ...board, formatVersion: 3 })],
]);

/**
 * A parsed board file in the present format version, step by step from the version it states. What is no object, states
 * no version, or states one that is not known is returned as it is, for the schema to refuse. Steps keep the places of
 * fields, so that problems still point into the file.
 */
export function migrateBoard(document: unknown): unknown {
  if (!isDocument(document)) return document;
  let board: Document = document;
  // A step raises the version by one, so there are no more steps than versions.
  for (let version = 1; version < boardFormatVersion; version += 1) {
    const step = board["formatVersion"] === version ? steps.get(version) : undefined;
    if (step !== undefined) board = step(board);
  }
  return board;
}

/** The version a document states if it is a whole number above the present one, else undefined. */
export function newerBoardVersion(document: unknown): number | undefined {
  const version = isDocument(document) ? document["formatVersion"] : undefined;
  return Number.isInteger(version) && Number(version) > boardFormatVersion ? Number(version) : undefined;
}

function isDocument(value: unknown): value is Document {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
