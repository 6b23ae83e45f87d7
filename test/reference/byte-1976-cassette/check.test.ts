import { describe } from "vitest";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

describe("recordings after the 1976 cassette standard", () => {
  expectRows(referenceRows);
});
