import { readFileSync } from "node:fs";
import { z } from "zod";
import { fuseSum, parseFuseFile } from "../../../src/core/board/logic/jedec.js";
import type { ReferenceRow } from "../support/check.js";

const file = z.object({ lines: z.array(z.string()), fuseSum: z.string(), fileSum: z.string().optional() });
/** Published files and equations. */
export const data = z
  .object({
    standard: file,
    manual: z.object({
      binary: z.array(z.string()),
      hexadecimal: z.array(z.string()),
      fuseSum: z.string(),
    }),
    sequential: file.extend({ sums: z.record(z.string(), z.string()) }),
    combinational: file.extend({ levels: z.record(z.string(), z.string()) }),
  })
  .parse(JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")));

/** A file as it would be read, with the sum behind it if one is known. */
export function textOf({ lines, fileSum }: z.infer<typeof file>): string {
  const text = lines.map((line) => `${line}\r\n`).join("");
  return fileSum === undefined ? text : `${text}\u0003${fileSum}`;
}

/** Fuses of a text; none if it is not read. */
export function fusesOf(text: string): Uint8Array {
  return parseFuseFile(text).value?.fuses ?? new Uint8Array(0);
}

const hex = (sum: number): string => sum.toString(16).toUpperCase().padStart(4, "0");

/** Sum of the fuses of each published file, and the closing sum where one is printed. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const exact = { tolerance: 0, tag: "published" } as const;
  const { standard, manual, sequential, combinational } = data;
  const sumOf = (text: string): string => hex(fuseSum(fusesOf(text)));
  const closing = (one: typeof sequential | typeof combinational): string => {
    const isRight = parseFuseFile(textOf(one)).problems.every(({ code }) => code !== "file-sum");
    return isRight ? (one.fileSum ?? "") : "another";
  };
  return [
    {
      ...exact,
      quantity: "fuse sum of the standard's example, 448 fuses",
      published: standard.fuseSum,
      ours: sumOf(textOf(standard)),
    },
    {
      ...exact,
      quantity: "fuse sum of a manual's example, fuses in binary",
      published: manual.fuseSum,
      ours: sumOf(manual.binary.join("\n")),
    },
    {
      ...exact,
      quantity: "fuse sum of a manual's example, fuses in hexadecimal",
      published: manual.fuseSum,
      ours: sumOf(manual.hexadecimal.join("\n")),
    },
    ...(
      [
        ["registers", sequential],
        ["gates", combinational],
      ] as const
    ).flatMap(([name, one]) => [
      {
        ...exact,
        quantity: `GAL16V8 with ${name}: fuse sum`,
        published: one.fuseSum,
        ours: sumOf(textOf(one)),
      },
      {
        ...exact,
        quantity: `GAL16V8 with ${name}: sum of the file`,
        published: one.fileSum ?? "",
        ours: closing(one),
      },
    ]),
  ];
}
