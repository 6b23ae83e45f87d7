import type { Certainty } from "./recognise-part.js";

/** Something the import took for granted, for the user to look over. */
export interface Guess {
  /** Reference of a part, name of a net, or `board`. */
  readonly subject: string;
  /** What it was taken for. */
  readonly taken: string;
  readonly reason: string;
  readonly certainty: Certainty;
}
