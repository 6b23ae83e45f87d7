import { readFileSync } from "node:fs";
import { z } from "zod";
import { failureModeIdSchema } from "../../../src/core/board/failure-mode.js";
import { faultFamilySchema } from "../../../src/core/find/priors/fault-family.js";
import { modeShares, modeSharesSchema } from "../../../src/core/find/priors/mode-shares.js";
import { halfLastPlace, type ReferenceRow } from "../support/check.js";

const dataSchema = z.strictObject({
  rows: z.array(
    z.tuple([
      faultFamilySchema,
      z.string(),
      z.string(),
      z.array(failureModeIdSchema),
      z.enum(["seen", "memory"]),
    ]),
  ),
});

// Lists that are printed with a sum other than 1 move when they are normalised.
const normalised = new Set(["logic-mos"]);

/** Published shares, and ours before the trade's factors, mode by mode. */
export async function referenceRows(): Promise<ReferenceRow[]> {
  const { rows } = dataSchema.parse(read(new URL("data.json", import.meta.url)));
  const shares = modeSharesSchema.parse(
    read(new URL("../../../data/failure/mode-shares.json", import.meta.url)),
  );
  return rows.map(([family, mode, published, ours, confidence]) => {
    const found = modeShares(shares, family).filter((row) => ours.includes(row.mode));
    return {
      quantity: `${family}: ${mode}, share of failures`,
      published: Number(published),
      ours: found.reduce((sum, row) => sum + row.publishedShare, 0),
      tolerance: normalised.has(family) ? 0.01 : halfLastPlace(2),
      tag: confidence === "seen" ? "published" : "from memory",
    };
  });
}

function read(url: URL): unknown {
  return JSON.parse(readFileSync(url, "utf8"));
}
