import type { SelfTestImage } from "./image.js";
import type { SelfTestPlan } from "./plan.js";
import { generateZ80 } from "./z80-self-test.js";

/**
 * The self-test of a plan. Throws `RangeError` if the ROM is too small for it, or if there is no generator for the
 * processor.
 */
export function generateSelfTest(plan: SelfTestPlan): SelfTestImage {
  if (plan.processor.instructionSet === "z80") return generateZ80(plan);
  throw new RangeError("there is no generator for this processor");
}
