import { describe } from "vitest";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

describe("MIL-HDBK-338B failure-mode distributions", () => {
  expectRows(referenceRows);
});
