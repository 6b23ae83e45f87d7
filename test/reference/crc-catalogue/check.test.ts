import { describe } from "vitest";
import { expectRows } from "../support/expect-rows.js";
import { referenceRows } from "./rows.js";

describe("check values of the CRC catalogue", () => {
  expectRows(referenceRows);
});
