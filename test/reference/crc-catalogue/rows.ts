import { readFileSync } from "node:fs";
import { z } from "zod";
import { type CheckKind, checkBytes, checkValue } from "../../../src/core/tape/check-value.js";
import type { ReferenceRow } from "../support/check.js";

const dataSchema = z.array(
  z.strictObject({
    name: z.string(),
    width: z.int(),
    polynomial: z.string(),
    initial: z.string(),
    reflected: z.boolean(),
    finalXor: z.string(),
    check: z.string(),
  }),
);

const digits = Uint8Array.from("123456789", (digit) => digit.charCodeAt(0));

/** The check value of each catalogued CRC, and of the plain kinds. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const entries = dataSchema.parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));
  const kinds = entries.map(({ name, check, reflected, ...rest }): [string, string, CheckKind] => [
    name,
    check,
    { kind: "crc", reflectIn: reflected, reflectOut: reflected, ...rest },
  ]);
  const plain: [string, string, CheckKind][] = [
    ["8-bit sum", "DD", { kind: "sum8" }],
    ["negative 8-bit sum", "23", { kind: "negative-sum8" }],
    ["exclusive or", "31", { kind: "xor8" }],
    ["16-bit sum", "01DD", { kind: "sum16" }],
  ];
  return [...kinds, ...plain].map(([name, check, kind]) => ({
    quantity: `${name} of 123456789`,
    published: check,
    ours: checkValue(kind, digits)
      .toString(16)
      .toUpperCase()
      .padStart(2 * checkBytes(kind), "0"),
    tolerance: 0,
    tag: "recomputed",
  }));
}
