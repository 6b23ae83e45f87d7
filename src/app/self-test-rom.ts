import type { Parsed, Problem } from "../core/base/problem.js";
import type { AddressRange } from "../core/memory/map/memory-map.js";
import { beaconUnits, encodeMessage, type Verdict } from "../core/memory/self-test/beacon.js";
import { generateSelfTest } from "../core/memory/self-test/generate.js";
import type { SelfTestImage } from "../core/memory/self-test/image.js";
import { renderListing } from "../core/memory/self-test/listing.js";
import { type PlanOptions, planSelfTest, type SelfTestPlan } from "../core/memory/self-test/plan.js";
import { renderSheetHtml, renderSheetText, type Sheet, sheetOf } from "../core/memory/self-test/sheet.js";
import { type Verification, verifySelfTest } from "../core/memory/self-test/verify.js";
import { type EpromSize, epromOf, fillChip } from "../core/rom/chip.js";
import { printIntelHex } from "../core/rom/intel-hex.js";
import { printSRecords } from "../core/rom/s-record.js";
import type { LoadedBoard } from "./load-board.js";
import type { Store } from "./passed-in.js";
import { usage } from "./usage.js";

/** What can be chosen for a self-test, as a person writes it. */
export interface SelfTestChoices {
  /** `2000-3FFF,8000-FFFF`; all memory if absent. */
  readonly ranges?: string;
  /** Ids of beacons, separated by commas; all of the board if absent. */
  readonly beacons?: string;
  readonly clockHertz?: number;
  readonly refreshRows?: 128 | 256;
  readonly unitSeconds?: number;
  readonly retentionSeconds?: number;
}

/** How the image is laid into a chip. */
export interface ChipChoices {
  /** Type of the EPROM; that of the board if absent. */
  readonly chip?: string;
  readonly offset?: number;
  readonly fill?: number;
  readonly isRepeated?: boolean;
}

/** A self-test that passed its trials, laid into a chip. */
export interface BuiltSelfTest {
  readonly plan: SelfTestPlan;
  readonly image: SelfTestImage;
  readonly chip: EpromSize;
  /** The whole content of the chip. */
  readonly content: Uint8Array;
  readonly verification: Verification;
  /** Time from power-on until a good machine has said so, about. */
  readonly goodSeconds: number;
}

/** The plan of a board's self-test. Throws `usage` for choices that cannot be read. */
export function planFor({ board, types }: LoadedBoard, choices: SelfTestChoices): Parsed<SelfTestPlan> {
  return planSelfTest(board, types, planOptions(choices));
}

/**
 * Builds a board's self-test, tries it on a bare core and lays it into a chip. The value is absent if there is a problem,
 * and also if the image fails a trial (`self-test-unproven`): such an image must not be written.
 */
export function buildSelfTest(
  loaded: LoadedBoard,
  choices: SelfTestChoices,
  { chip: type, ...layout }: ChipChoices,
  onProgress?: (cycles: number) => void,
): Parsed<BuiltSelfTest> {
  const planned = planFor(loaded, choices);
  const problems: Problem[] = [...planned.problems];
  const plan = planned.value;
  if (plan === undefined) return { problems };
  const fail = (code: string, message: string): Parsed<BuiltSelfTest> => ({
    problems: [...problems, { code, severity: "error", message, where: {} }],
  });
  const chip = epromOf(type ?? plan.rom.type);
  if (chip === undefined)
    return fail("chip-unknown", `No EPROM is known as '${type ?? plan.rom.type}'; 2716 to 27512 are.`);
  let image: SelfTestImage;
  try {
    image = generateSelfTest(plan);
  } catch (error) {
    if (error instanceof RangeError)
      return fail("chip-too-small", `The self-test does not fit: ${error.message}.`);
    throw error;
  }
  const laid = fillChip(image.bytes, { chip, ...layout });
  problems.push(...laid.problems);
  if (laid.value === undefined) return { problems };
  const verification = verifySelfTest(loaded, plan, image, onProgress);
  if (!verification.passed) {
    const bad = verification.trials.filter(({ passed }) => !passed).map(({ title }) => title);
    return fail(
      "self-test-unproven",
      `The image failed on the processor core (${bad.join(", ") || "it differs from the one that was run"}); nothing was written.`,
    );
  }
  const value = { plan, image, chip, content: laid.value, verification };
  return { value: { ...value, goodSeconds: goodSeconds(plan, verification) }, problems };
}

/** The sheet of a plan. */
export function sheetFor(plan: SelfTestPlan, goodSeconds?: number): Sheet {
  return sheetOf(plan, goodSeconds);
}

/** A sheet as text, or as a page where the name of its file ends so. */
export function renderSheet(sheet: Sheet, file: string): string {
  return /\.html?$/i.test(file) ? renderSheetHtml(sheet) : renderSheetText(sheet);
}

/** Files that a built self-test is written to. Addresses in records are places in the chip. */
export interface SelfTestFiles {
  readonly out: string;
  readonly hex?: string;
  readonly srec?: string;
  readonly listing?: string;
  readonly sheet?: string;
}

/** Writes a built self-test; returns the names of the files. Throws `file-unwritable`. */
export async function writeSelfTest(
  store: Store,
  built: BuiltSelfTest,
  { out, hex, srec, listing, sheet }: SelfTestFiles,
): Promise<readonly string[]> {
  const blocks = [{ address: 0, bytes: built.content }];
  const texts = [
    ...(hex === undefined ? [] : [{ file: hex, text: printIntelHex(blocks) }]),
    ...(srec === undefined ? [] : [{ file: srec, text: printSRecords(blocks, built.plan.board) }]),
    ...(listing === undefined ? [] : [{ file: listing, text: renderListing(built.image) }]),
    ...(sheet === undefined
      ? []
      : [{ file: sheet, text: renderSheet(sheetFor(built.plan, built.goodSeconds), sheet) }]),
  ];
  store.files.write(texts);
  await store.files.writeBytes(out, [built.content]);
  return [out, ...texts.map(({ file }) => file)];
}

/** The trial waited less than the machine will; what it heard and its pauses are counted at the length of the plan. */
function goodSeconds(plan: SelfTestPlan, { trials, waits }: Verification): number {
  const good = trials.find(({ expected }) => expected === "good");
  if (good === undefined) return 0;
  const units = good.verdicts.reduce((sum, verdict) => sum + messageUnits(verdict), 0);
  const pauses = 2 * plan.banks.reduce((sum, { ranges }) => sum + ranges.length, 0);
  return (
    good.cycles / plan.clockHertz +
    units * (plan.unitSeconds - waits.unitSeconds) +
    pauses * (plan.retentionSeconds - waits.retentionSeconds)
  );
}

function messageUnits(verdict: Verdict): number {
  return (encodeMessage(verdict, 1).at(-1)?.to ?? 0) + beaconUnits.pause;
}

function planOptions({ ranges, beacons, ...rest }: SelfTestChoices): PlanOptions {
  return {
    ...rest,
    ...(ranges === undefined ? {} : { ranges: ranges.split(",").map(rangeOf) }),
    ...(beacons === undefined ? {} : { beacons: beacons.split(",").map((id) => id.trim()) }),
  };
}

function rangeOf(text: string): AddressRange {
  const [, from, to] =
    /^\s*(?:\$|0x)?([0-9a-f]{1,4})h?\s*-\s*(?:\$|0x)?([0-9a-f]{1,4})h?\s*$/i.exec(text) ?? [];
  if (from === undefined || to === undefined)
    throw usage(`--ranges takes hexadecimal ranges such as 2000-3FFF; got '${text.trim()}'.`);
  return { from: Number.parseInt(from, 16), to: Number.parseInt(to, 16) };
}
