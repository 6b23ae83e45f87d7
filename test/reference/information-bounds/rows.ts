import { readFileSync } from "node:fs";
import { z } from "zod";
import { equalHuffmanLength, huffmanLength } from "../../../src/core/inference/information.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";

const dataSchema = z.strictObject({ equallyLikely: z.array(z.tuple([z.int(), z.string()])) });

/** The bound for equally likely suspects, by formula and by building the code. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const { equallyLikely } = dataSchema.parse(
    JSON.parse(readFileSync(new URL("data.json", import.meta.url), "utf8")),
  );
  return equallyLikely.flatMap(([count, printed]) => {
    const decimals = printed.split(".")[1]?.length ?? 0;
    const common = {
      published: Number(printed),
      tolerance: decimals < 4 ? 1e-9 : halfLastPlace(decimals),
      tag: "recomputed",
    } as const;
    const equalWeights = new Float64Array(count).fill(1 / count);
    return [
      {
        ...common,
        quantity: `mean number of tests, ${count} equal suspects, formula`,
        ours: equalHuffmanLength(count),
      },
      {
        ...common,
        quantity: `mean number of tests, ${count} equal suspects, Huffman's method`,
        ours: huffmanLength(equalWeights),
      },
    ];
  });
}
