import type { Verdict } from "./beacon.js";
import type { BoardFault } from "./emulate/board-fault.js";
import { type EmulatedBoard, emulateSelfTest } from "./emulate/emulate.js";
import { generateSelfTest } from "./generate.js";
import type { ListingRow, SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";

/** What an image did in one trial on a bare processor core. */
export interface Trial {
  readonly title: string;
  readonly expected: Verdict["kind"];
  /** Verdicts of one round; empty if the beacon said nothing. */
  readonly verdicts: readonly Verdict[];
  readonly cycles: number;
  readonly passed: boolean;
  /** Why the processor stopped, if it did. */
  readonly stopped?: string;
}

/** The result of all trials of an image. */
export interface Verification {
  readonly passed: boolean;
  /** The plan that was run: that of the image, with short waits. */
  readonly waits: Waits;
  readonly trials: readonly Trial[];
}

/** Lengths of a plan in which nothing happens. */
export type Waits = Pick<SelfTestPlan, "unitSeconds" | "retentionSeconds">;

/** A unit of a trial in clock cycles, so that the trial is not mostly waiting. */
const trialUnitCycles = 4000;
const trialRetentionSeconds = 0.01;

/**
 * Runs the self-test of a plan on the board's bare processor: with good memory, with none that answers, and with one wrong
 * bit in its own ROM. A self-test that does not say so each time must not be written. The trials wait less than the image
 * does; apart from the counts of its waiting loops it must be instruction for instruction the one that is run.
 * `onProgress` is called now and then with the clock cycles of the trial so far.
 * `maximumCycles` ends a trial that says nothing.
 */
export function verifySelfTest(
  board: EmulatedBoard,
  plan: SelfTestPlan,
  image: SelfTestImage,
  onProgress?: (cycles: number) => void,
  maximumCycles?: number,
): Verification {
  const waits: Waits = {
    unitSeconds: trialUnitCycles / plan.clockHertz,
    retentionSeconds: Math.min(plan.retentionSeconds, trialRetentionSeconds),
  };
  const quick = { ...plan, ...waits };
  const twin = generateSelfTest(quick);
  const run = (title: string, expected: Verdict["kind"], fault?: BoardFault): Trial => {
    const { verdicts, cycles, reason } = emulateSelfTest(board, quick, twin.bytes, {
      ...(fault === undefined ? {} : { fault }),
      ...(maximumCycles === undefined ? {} : { maximumCycles }),
      onProgress: (now) => {
        onProgress?.(now);
        return undefined;
      },
    });
    const said = verdicts.filter(({ kind }) => kind !== "main-good");
    const passed = said.length === 1 && said[0]?.kind === expected;
    return {
      title,
      expected,
      verdicts: said,
      cycles,
      passed,
      ...(reason === undefined ? {} : { stopped: reason }),
    };
  };
  const trials = [
    run("no memory at all", "no-answer", { kind: "all-dead" }),
    run("one wrong bit in the ROM", "rom", { kind: "rom-bit", address: unusedPlace(image), bit: 0 }),
    run("good memory", "good"),
  ];
  const isTwin =
    twin.rows.length === image.rows.length &&
    twin.rows.every((row, k) => isSameButCounts(row, image.rows[k]));
  return { passed: isTwin && trials.every(({ passed }) => passed), waits, trials };
}

/** An address without code: a wrong bit in the code itself may stop the processor, and then nothing is said. */
function unusedPlace({ rows, origin, bytes }: SelfTestImage): number {
  const isUsed = new Uint8Array(bytes.length);
  for (const row of rows) isUsed.fill(1, row.address - origin, row.address - origin + row.bytes.length);
  return origin + Math.max(0, isUsed.lastIndexOf(0));
}

/** True for the same instruction at the same place; its numbers may differ. */
function isSameButCounts(row: ListingRow, other: ListingRow | undefined): boolean {
  if (other === undefined || row.address !== other.address || row.label !== other.label) return false;
  return (
    row.bytes.length === other.bytes.length && withoutNumbers(row.source) === withoutNumbers(other.source)
  );
}

function withoutNumbers(source: string): string {
  return source.replace(/\$?\b\d[0-9A-F]*h?\b|\$[0-9A-F]+\b/g, "N");
}
