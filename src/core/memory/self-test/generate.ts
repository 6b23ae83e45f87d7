import { generate6502 } from "./6502-self-test.js";
import type { SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";
import { generateZ80 } from "./z80-self-test.js";

/**
 * The self-test of a plan. Throws `RangeError` if the ROM is too small for it, or if the generator cannot
 * test the board's memory.
 */
export function generateSelfTest(plan: SelfTestPlan): SelfTestImage {
  if (plan.processor.instructionSet === "z80") return generateZ80(plan);
  return generate6502(plan);
}
