import type { Parsed, Problem } from "../core/base/problem.js";
import { type Emulation, emulateSelfTest } from "../core/memory/self-test/emulate/emulate.js";
import { parseFault } from "../core/memory/self-test/emulate/fault-text.js";
import { meaningOf } from "../core/memory/self-test/verdict-parts.js";
import type { LoadedBoard } from "./load-board.js";
import { planFor, type SelfTestChoices } from "./self-test-rom.js";

/** Most bytes of an image: the largest EPROM. */
export const maximumImageBytes = 0x10000;

/** What an image said in emulation. */
export interface EmulatedSelfTest {
  /** In words: `data bit 3`, several joined by a semicolon; `nothing was said` if the beacon was silent. */
  readonly verdict: string;
  readonly emulation: Emulation;
  readonly clockHertz: number;
}

/**
 * Runs the content of a ROM on a board's bare processor, with one fault put in if `fault` is given, and reads the beacon.
 * `offset`: where in the content the ROM's first byte stands. The value is absent if the plan, the content or the fault has a
 * flaw. Codes besides those of the plan: `image-length`, `fault-unreadable`. Throws `usage` for choices that cannot be read.
 */
export function emulateImage(
  loaded: LoadedBoard,
  choices: SelfTestChoices,
  content: Uint8Array,
  offset: number,
  fault: string | undefined,
  onProgress?: (cycles: number) => void,
): Parsed<EmulatedSelfTest> {
  const planned = planFor(loaded, choices);
  const problems: Problem[] = [...planned.problems];
  const plan = planned.value;
  if (plan === undefined) return { problems };
  const image = content.subarray(offset, offset + plan.rom.bytes);
  if (image.length < plan.rom.bytes) {
    const message = `The image holds ${image.length} bytes from its byte ${offset} on; ${plan.rom.part} holds ${plan.rom.bytes}.`;
    problems.push({ code: "image-length", severity: "error", message, where: { byte: offset } });
    return { problems };
  }
  const parsed = fault === undefined ? undefined : parseFault(fault, plan);
  problems.push(...(parsed?.problems ?? []));
  if (parsed !== undefined && parsed.value === undefined) return { problems };
  const emulation = emulateSelfTest(loaded, plan, image, {
    ...(parsed?.value === undefined ? {} : { fault: parsed.value }),
    onProgress: (cycles) => {
      onProgress?.(cycles);
      return undefined;
    },
  });
  const titles = emulation.verdicts.map((verdict) => meaningOf(plan, verdict).title);
  const verdict = titles.length === 0 ? "nothing was said" : titles.join("; ");
  return { value: { verdict, emulation, clockHertz: plan.clockHertz }, problems };
}
