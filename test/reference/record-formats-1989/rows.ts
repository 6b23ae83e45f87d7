import { readFileSync } from "node:fs";
import { z } from "zod";
import { type Block, hexDigits } from "../../../src/core/rom/blocks.js";
import { parseIntelHex, printIntelHex } from "../../../src/core/rom/intel-hex.js";
import { parseSRecords, printSRecords } from "../../../src/core/rom/s-record.js";
import type { ReferenceRow } from "../support/check.js";

const record = z.strictObject({
  source: z.string(),
  record: z.string(),
  address: z.string(),
  bytes: z.string(),
});

export const data = z
  .strictObject({
    intelHex: z.array(record),
    sRecords: z.array(record),
    heads: z.array(z.string()),
    ends: z.array(z.string()),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

function contentOf(blocks: readonly Block[] | undefined): string {
  return (blocks ?? [])
    .map(({ address, bytes }) => `${address.toString(16).toUpperCase().padStart(4, "0")} ${hexDigits(bytes)}`)
    .join("; ");
}

const exact = { tolerance: 0, tag: "published" } as const;

/** What each published record holds, and the record that our printer makes of it. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const read = (format: string, list: typeof data.intelHex, parse: typeof parseIntelHex): ReferenceRow[] =>
    list.map(({ record: text, address, bytes, source }) => ({
      ...exact,
      quantity: `${format}: content of ${text.slice(0, 11)}... (${source})`,
      published: `${address} ${bytes}`,
      ours: contentOf(parse(text).value),
    }));
  const printed = (
    format: string,
    list: typeof data.intelHex,
    print: (blocks: readonly Block[]) => string,
  ): ReferenceRow[] =>
    list.map(({ record: text, address, bytes, source }) => {
      const content = Uint8Array.from(bytes.match(/../g) ?? [], (digits) => Number.parseInt(digits, 16));
      const lines = print([{ address: Number.parseInt(address, 16), bytes: content }]).split("\n");
      return {
        ...exact,
        quantity: `${format}: record of ${address} (${source})`,
        published: text,
        ours: lines.find((line) => line.startsWith(text.slice(0, 9))) ?? "none",
      };
    });
  return [
    ...read("Intel HEX", data.intelHex, parseIntelHex),
    ...printed("Intel HEX", data.intelHex, printIntelHex),
    ...read("S-record", data.sRecords, parseSRecords),
    ...printed("S-record", data.sRecords, printSRecords),
  ];
}
