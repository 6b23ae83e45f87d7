import { type ListedPictureFault, pictureFaults } from "./picture-faults.js";
import { lookOf, type PictureLook } from "./picture-look.js";
import type { PictureContent, PicturePlan } from "./picture-plan.js";
import { pictureWords } from "./shown-picture.js";

/** Even stripes as they are seen on a screen that should be even. */
export interface SeenStripes {
  readonly direction: "upright" | "level";
  /** Dots, lines, columns or rows from one stripe to the same place of the next. */
  readonly every: number;
  /** The spoiled one of these, the first being 1; of a broad stripe its first. */
  readonly at: number;
  /** How broad a stripe is, in the same unit. */
  readonly wide: number;
  /** What a stripe is that should not be; for characters it does not matter. */
  readonly becomes: "lit" | "dark";
}

/** A wrong character and what should stand there, as their codes. */
export interface SeenCharacter {
  readonly right: number;
  readonly wrong: number;
}

/** A failure that makes what was seen. */
export interface PictureMatch extends ListedPictureFault {
  readonly content: PictureContent;
}

/**
 * The failures that would draw these stripes on an even picture, chips first. Empty if none does.
 */
export function faultsOfStripes(plan: PicturePlan, seen: SeenStripes): PictureMatch[] {
  // A stripe is lit on a dark picture or dark on a lit one; it also shows where the memory was never written.
  const contents: readonly PictureContent[] =
    plan.layout.draws.kind === "characters" ? ["blank"] : ["zeros", "ones"];
  const good = new Map(contents.map((content) => [content, pictureWords(plan, content, undefined)]));
  return pictureFaults(plan.array).flatMap((listed): PictureMatch[] => {
    const content = contents.find((one) => {
      const before = good.get(one);
      if (before === undefined) return false;
      const shown = pictureWords(plan, one, listed.fault);
      return mayBe(plan, before, shown, seen) && isAs(lookOf(plan, before, shown), seen);
    });
    return content === undefined ? [] : [{ ...listed, content }];
  });
}

/** False if some row, or for level stripes some column, differs otherwise than the first; saves drawing the picture. */
function mayBe(
  { layout: { columns } }: PicturePlan,
  before: Uint16Array,
  shown: Uint16Array,
  { direction }: SeenStripes,
): boolean {
  let any = 0;
  for (let at = 0; at < shown.length; at += 1) {
    const same = direction === "upright" ? at % columns : at - (at % columns);
    const wrong = (before[at] ?? 0) ^ (shown[at] ?? 0);
    if (wrong !== ((before[same] ?? 0) ^ (shown[same] ?? 0))) return false;
    any |= wrong;
  }
  return any !== 0;
}

function isAs({ shape, across, down, becomes }: PictureLook, seen: SeenStripes): boolean {
  const repeat = seen.direction === "upright" ? across : down;
  if (shape !== `${seen.direction}-stripes` || repeat === undefined || repeat.every !== seen.every)
    return false;
  if (becomes !== "other" && becomes !== seen.becomes) return false;
  const [only, ...more] = repeat.at;
  return (
    only !== undefined && more.length === 0 && only.from === seen.at && only.to === seen.at + seen.wide - 1
  );
}

/**
 * The failures that make each right character into its wrong one, those that concern fewest data bits first. Failures
 * that depend on the place are left out. Empty if none explains all pairs.
 */
export function faultsOfCharacters(plan: PicturePlan, seen: readonly SeenCharacter[]): ListedPictureFault[] {
  if (seen.length === 0) return [];
  const bits = ({ fault }: ListedPictureFault): number =>
    fault.kind === "bits-stuck" ? fault.bits.length : 2;
  return pictureFaults(plan.array)
    .filter(({ fault }) => {
      if (fault.kind === "bits-stuck")
        return seen.every(({ right, wrong }) => {
          const mask = fault.bits.reduce((sum, bit) => sum | (1 << bit), 0);
          return wrong === (fault.level === 0 ? right & ~mask : right | mask);
        });
      if (fault.kind === "data-bits-swapped")
        return seen.every(({ right, wrong }) => {
          const differ = ((right >> fault.first) ^ (right >> fault.second)) & 1;
          const both = (1 << fault.first) | (1 << fault.second);
          return differ === 1 && wrong === (right ^ both);
        });
      return false;
    })
    .sort((a, b) => bits(a) - bits(b));
}
