import { z } from "zod";
import { type FailureModeId, failureModeIdSchema, type Manifestation } from "../../board/failure-mode.js";
import { sourceReferenceSchema } from "../../board/part-type.js";
import { type FaultFamily, faultFamilySchema } from "./fault-family.js";

const share = z.number().min(0).max(1);
const why = z.string().min(1).describe("Reason, in one sentence; common practice, no source.");

const distributionSchema = z.strictObject({
  id: z.string().min(1),
  title: z.string().min(1).describe("Kind of part as the handbook names it."),
  source: sourceReferenceSchema,
  shares: z
    .array(z.strictObject({ mode: z.string().min(1).describe("Mode in the handbook's words."), share }))
    .min(1)
    .describe("As printed; normalised when used."),
});

const familySharesSchema = z.strictObject({
  family: faultFamilySchema,
  distribution: z.string().min(1).describe("Id of the published distribution it starts from."),
  note: z.string().optional().describe("Why that distribution, if it is not the family's own."),
  map: z
    .array(
      z.strictObject({
        from: z.string().min(1).describe("Mode in the handbook's words."),
        to: z
          .array(z.strictObject({ mode: failureModeIdSchema, part: share }))
          .min(1)
          .describe("Our modes; a split over several is common practice, no source."),
      }),
    )
    .min(1),
  adjust: z
    .array(z.strictObject({ mode: failureModeIdSchema, factor: z.number().positive(), why }))
    .describe("Factors of the trade on single modes."),
  add: z
    .array(
      z.strictObject({
        mode: failureModeIdSchema,
        share: share.describe("Relative to the published sum of 1."),
        why,
      }),
    )
    .describe("Modes the handbook does not list."),
});

const manifestationSchema = z.strictObject({
  mode: failureModeIdSchema,
  permanent: share,
  warmOnly: share,
  intermittent: share,
  why: z.string().optional(),
});

/** Shares of failure modes, as `data/failure/mode-shares.json` holds them. */
export const modeSharesSchema = z.strictObject({
  $schema: z.string(),
  formatVersion: z.literal(1),
  sources: z.array(sourceReferenceSchema).min(1),
  distributions: z.array(distributionSchema).min(1).describe("Published distributions."),
  families: z.array(familySharesSchema).min(1).describe("How each family uses a distribution."),
  manifestations: z
    .array(manifestationSchema)
    .min(1)
    .describe("How each mode shows over time; common practice, no source."),
});

export type ModeSharesData = z.infer<typeof modeSharesSchema>;

/** Share of one failure mode in a family's failures, with how it came about. */
export interface ModeShare {
  readonly mode: FailureModeId;
  /** Of all failures of the family; the shares of a family sum to 1. */
  readonly share: number;
  /** The published part of it before factors, normalised; 0 for a mode the handbook does not list. */
  readonly publishedShare: number;
  /** Product of the trade's factors on it. */
  readonly tradeFactor: number;
  /** Reasons for factors, additions and splits. */
  readonly reasons: readonly string[];
  /** How it shows over time; only those with a share above 0, summing to 1. */
  readonly manifestations: readonly ManifestationShare[];
}

export interface ManifestationShare {
  readonly kind: Manifestation;
  readonly share: number;
}

/**
 * Modes of a family, largest share first. A structure other than the socket has a single mode.
 * Throws `RangeError` if the data holds no entry for the family.
 */
export function modeShares(data: ModeSharesData, family: FaultFamily): ModeShare[] {
  if (family === "track") return [single(data, "track-open")];
  if (family === "bridge") return [single(data, "bridge")];
  if (family === "wrong-part") return [single(data, "wrong-part")];
  const entry = data.families.find((row) => row.family === family);
  const distribution = data.distributions.find((row) => row.id === entry?.distribution);
  if (entry === undefined || distribution === undefined) {
    throw new RangeError(`there are no failure-mode shares for family ${family}`);
  }
  const printedSum = distribution.shares.reduce((sum, row) => sum + row.share, 0);
  const published = new Map<FailureModeId, number>();
  for (const { from, to } of entry.map) {
    const printed = distribution.shares.find((row) => row.mode === from)?.share ?? 0;
    for (const { mode, part } of to) {
      published.set(mode, (published.get(mode) ?? 0) + (printed / printedSum) * part);
    }
  }
  const modes = new Set([...published.keys(), ...entry.add.map((row) => row.mode)]);
  const raw = [...modes].map((mode) => {
    const adjust = entry.adjust.filter((row) => row.mode === mode);
    const add = entry.add.filter((row) => row.mode === mode);
    const tradeFactor = adjust.reduce((product, row) => product * row.factor, 1);
    const publishedShare = published.get(mode) ?? 0;
    const added = add.reduce((sum, row) => sum + row.share, 0);
    return {
      mode,
      publishedShare,
      tradeFactor,
      weight: (publishedShare + added) * tradeFactor,
      reasons: [...adjust, ...add].map((row) => row.why),
    };
  });
  const total = raw.reduce((sum, row) => sum + row.weight, 0);
  return raw
    .map(({ weight, ...row }) => ({
      ...row,
      share: weight / total,
      manifestations: manifestationShares(data, row.mode),
    }))
    .sort((a, b) => b.share - a.share || (a.mode < b.mode ? -1 : 1));
}

function single(data: ModeSharesData, mode: FailureModeId): ModeShare {
  return {
    mode,
    share: 1,
    publishedShare: 0,
    tradeFactor: 1,
    reasons: [],
    manifestations: manifestationShares(data, mode),
  };
}

/** How a mode shows over time; throws `RangeError` if the data does not say. */
export function manifestationShares(data: ModeSharesData, mode: FailureModeId): ManifestationShare[] {
  const entry = data.manifestations.find((row) => row.mode === mode);
  if (entry === undefined) throw new RangeError(`the data does not say how ${mode} shows over time`);
  const rows: ManifestationShare[] = [
    { kind: "permanent", share: entry.permanent },
    { kind: "warm-only", share: entry.warmOnly },
    { kind: "intermittent", share: entry.intermittent },
  ];
  return rows.filter((row) => row.share > 0);
}
