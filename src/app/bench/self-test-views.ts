import type { Problem } from "../../core/base/problem.js";
import { verdictOf } from "../../core/memory/self-test/beacon.js";
import { renderListing } from "../../core/memory/self-test/listing.js";
import { type PlanOptions, planSelfTest, type SelfTestPlan } from "../../core/memory/self-test/plan.js";
import { renderSheetHtml, sheetOf } from "../../core/memory/self-test/sheet.js";
import { meaningOf, type VerdictMeaning } from "../../core/memory/self-test/verdict-parts.js";
import { printIntelHex } from "../../core/rom/intel-hex.js";
import { printSRecords } from "../../core/rom/s-record.js";
import type {
  BeaconSeen,
  BeaconVerdict,
  SelfTestBuild,
  SelfTestImage,
  SelfTestOptions,
  SelfTestSheet,
} from "../api/self-test.js";
import { describeEntry } from "../describe-entry.js";
import { Refusal } from "../jobs/refusal.js";
import type { LoadedBoard } from "../load-board.js";
import { type MemoryTestEntry, parseRanges } from "../memory-explain.js";
import { buildSelfTest } from "../self-test-rom.js";

/** The sheet of a board's self-test. Throws `Refusal` if there can be none. */
export function selfTestSheet(loaded: LoadedBoard, options: SelfTestOptions): SelfTestSheet {
  const plan = selfTestPlan(loaded, options);
  const sheet = sheetOf(plan);
  return {
    title: sheet.title,
    cautions: [...sheet.cautions],
    steps: [...sheet.steps],
    reading: [...sheet.reading],
    rows: sheet.rows.map(({ signals, title, parts }) => ({
      signals: [...signals],
      title,
      parts: [...parts],
    })),
    limits: [...sheet.limits],
    clockHertz: plan.clockHertz,
    probe: { part: plan.bus.part, pin: plan.bus.pin },
    html: renderSheetHtml(sheet),
  };
}

/**
 * Builds the self-test of a board and tries it on a bare processor core. Throws `Refusal` if there can be none, or if it
 * fails a trial: such an image is not handed out. `onProgress` is called now and then with the clock cycles so far.
 */
export function selfTestImage(
  loaded: LoadedBoard,
  { options = {}, chip: type }: SelfTestBuild,
  onProgress: (cycles: number) => void,
): SelfTestImage {
  // Says first, in the words of the page, what is wrong with the choices.
  selfTestPlan(loaded, options);
  const { ranges } = options;
  const choices = {
    ...numbersOf(options),
    ...(ranges === undefined || ranges.trim() === "" ? {} : { ranges }),
  };
  const wanted = type === undefined || type === "" ? {} : { chip: type, isRepeated: true };
  const { value, problems } = buildSelfTest(loaded, choices, wanted, onProgress);
  if (value === undefined) throw refusedBuild(problems);
  const { plan, image, chip, content, verification, goodSeconds } = value;
  const blocks = [{ address: 0, bytes: content }];
  const text = "text/plain; charset=utf-8";
  const name = `${plan.board}-self-test`;
  const encode = (words: string): string => base64Of(new TextEncoder().encode(words));
  const sheet = renderSheetHtml(sheetOf(plan, goodSeconds));
  return {
    chip: chip.type,
    bytes: content.length,
    usedBytes: image.usedBytes,
    goodSeconds,
    trials: verification.trials.map(({ title }) => title),
    files: [
      { name: `${name}.bin`, title: "Binary", type: "application/octet-stream", base64: base64Of(content) },
      { name: `${name}.hex`, title: "Intel HEX", type: text, base64: encode(printIntelHex(blocks)) },
      {
        name: `${name}.s19`,
        title: "S-records",
        type: text,
        base64: encode(printSRecords(blocks, plan.board)),
      },
      { name: `${name}.lst`, title: "Listing", type: text, base64: encode(renderListing(image)) },
      { name: `${name}.html`, title: "Sheet", type: "text/html; charset=utf-8", base64: encode(sheet) },
    ],
  };
}

/** The choices that are numbers, without those that were not made. */
function numbersOf({
  clockHertz,
  refreshRows,
  unitSeconds,
  retentionSeconds,
}: SelfTestOptions): Omit<PlanOptions, "ranges" | "beacons"> {
  return {
    ...(clockHertz === undefined ? {} : { clockHertz }),
    ...(refreshRows === undefined ? {} : { refreshRows }),
    ...(unitSeconds === undefined ? {} : { unitSeconds }),
    ...(retentionSeconds === undefined ? {} : { retentionSeconds }),
  };
}

function refusedBuild(problems: readonly Problem[]): Refusal {
  const problem = problems.find(({ severity }) => severity === "error");
  return new Refusal(
    problem ?? {
      code: "self-test-unproven",
      severity: "error",
      message: "The self-test could not be built.",
      where: {},
    },
  );
}

function base64Of(bytes: Uint8Array): string {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text);
}

/**
 * What signals that were seen mean on a board, and the log entry they make. Throws `Refusal` if they mean nothing there.
 */
export function beaconVerdict(loaded: LoadedBoard, { options = {}, messages }: BeaconSeen): BeaconVerdict {
  const plan = selfTestPlan(loaded, options);
  const read = messages.map((signals, k) => {
    const verdict = verdictOf(signals);
    const isOfBoard =
      verdict !== undefined && sheetOf(plan).rows.some((row) => row.signals.join() === signals.join());
    if (verdict === undefined || !isOfBoard)
      throw new Refusal({
        code: "beacon-unreadable",
        severity: "error",
        message: `Message ${k + 1}, ${signals.join(", ")}, means nothing on this board.`,
        where: { field: "messages" },
        hint: "Count the signals of the next copy; each message comes three times.",
      });
    return { verdict, meaning: meaningOf(plan, verdict) };
  });
  const bad = read.flatMap(({ verdict, meaning }) =>
    verdict.kind === "good" || verdict.kind === "main-good" ? [] : [meaning],
  );
  const isGood = read.some(({ verdict }) => verdict.kind === "good");
  if (messages.length > 0 && bad.length === 0 && !isGood)
    throw new Refusal({
      code: "beacon-unfinished",
      severity: "error",
      message: "The main memory is good, but the other banks are still being tested.",
      where: { field: "messages" },
      hint: "Wait for the next message.",
    });
  const entry = entryOf(bad, messages.length);
  return {
    verdicts: read.map(({ meaning: { title, parts } }) => ({ title, parts: [...parts] })),
    entry,
    says: describeEntry(entry, []),
  };
}

/** Good, silent, or a cause for each message, its parts with falling weight. */
function entryOf(bad: readonly VerdictMeaning[], messages: number): MemoryTestEntry {
  const test = { kind: "memory-test", by: "self-test" } as const;
  if (messages === 0) return { ...test, verdict: "silent" };
  const causes = bad.filter(({ parts }) => parts.length > 0);
  if (causes.length === 0) return { ...test, verdict: bad.length === 0 ? "good" : "lines" };
  return {
    ...test,
    verdict: "causes",
    causes: causes.slice(0, mostCauses).map(({ title, parts }) => ({
      title,
      share: 1 / causes.length,
      parts: parts.map((part, k) => ({ part, weight: 1 / (k + 1) })),
    })),
  };
}

const mostCauses = 8;

/** The plan of a board's self-test with what was chosen. Throws `Refusal` if there can be none. */
export function selfTestPlan({ board, types }: LoadedBoard, options: SelfTestOptions): SelfTestPlan {
  const { ranges: text } = options;
  const { ranges, wrong } = text === undefined || text.trim() === "" ? {} : parseRanges(text);
  if (wrong !== undefined)
    throw new Refusal({
      code: "range-unreadable",
      severity: "error",
      message: `'${wrong}' is no range of addresses.`,
      where: { field: "ranges" },
      hint: "Write ranges as 2000-3FFF, with commas between them.",
    });
  const chosen: PlanOptions = { ...numbersOf(options), ...(ranges === undefined ? {} : { ranges }) };
  const { value, problems } = planSelfTest(board, types, chosen);
  if (value !== undefined) return value;
  const problem = problems.find(({ severity }) => severity === "error");
  throw new Refusal(
    problem ?? {
      code: "self-test-means",
      severity: "error",
      message: `There is no self-test for ${board.title}.`,
      where: {},
    },
  );
}
