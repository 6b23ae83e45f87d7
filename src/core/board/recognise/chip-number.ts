import type { RecognitionData } from "./recognition-data.js";

/** What a printed chip number says. */
export interface ChipReading {
  /** Part types it may be, best first. */
  readonly types: readonly string[];
  /** What the guess rests on. */
  readonly reason: string;
  /** False from this place in `types` on: another family with the same function stands in. */
  readonly exactTypes: number;
}

// Longer texts are remarks, not part numbers.
const maximumLength = 60;
// What may follow an industry number: version, package and speed letters, then anything after a sign.
const tailPattern = /^(?:[A-Z]{1,5}[0-9]{0,3}[A-Z]{0,4})?(?:[^A-Z0-9].*)?$/;
const signPattern = /[-_/. ]/;

/**
 * Reads a chip number as printed or as a schematic names it: `SN74LS157N`, `HM62256BLP-7`, `Z84C0006PEC`.
 * Undefined if it is none that the data knows. The longest number that fits wins, so that a `Z80-CTC` is no `Z80`.
 */
export function readChipNumber(printed: string, data: RecognitionData): ChipReading | undefined {
  const text = printed
    .trim()
    .toUpperCase()
    .replace(/[\u00b5\u039c]/g, "U");
  if (text === "" || text.length > maximumLength) return undefined;
  let best: { reading: ChipReading; length: number } | undefined;
  const offer = (reading: ChipReading, length: number): void => {
    if (best === undefined || length > best.length) best = { reading, length };
  };
  for (const start of bodyStarts(text, data.makerPrefixes)) {
    const body = text.slice(start);
    const logic = readLogic(body, data);
    if (logic !== undefined) offer(logic.reading, logic.length);
    for (const chip of data.chips) {
      for (const stem of chip.stems) {
        const end = stemEnd(stem, body);
        if (end === undefined || !tailPattern.test(body.slice(end))) continue;
        offer({ types: chip.types, reason: `number ${stem}`, exactTypes: chip.types.length }, stem.length);
      }
    }
  }
  return best?.reading;
}

/** Places where the industry number may begin: at once, or after one maker's prefix and a sign. */
function bodyStarts(text: string, prefixes: readonly string[]): Set<number> {
  const starts = new Set([0]);
  for (const prefix of prefixes) {
    if (!text.startsWith(prefix)) continue;
    starts.add(prefix.length);
    if (signPattern.test(text.charAt(prefix.length))) starts.add(prefix.length + 1);
  }
  return starts;
}

/** End of `stem` in `text`, signs between its characters skipped; undefined if the text does not begin with it. */
function stemEnd(stem: string, text: string): number | undefined {
  let at = 0;
  for (let i = 0; i < stem.length; i += 1) {
    if (i > 0 && signPattern.test(text.charAt(at))) at += 1;
    const unit = text.charAt(at);
    const wanted = stem.charAt(i);
    const fits = wanted === "#" ? unit >= "0" && unit <= "9" : unit === wanted;
    if (unit === "" || !fits) return undefined;
    at += 1;
  }
  return at;
}

const logicPattern = /^([0-9]{2})([A-Z]{0,4})([0-9]{2,5})/;

function readLogic(
  body: string,
  data: RecognitionData,
): { reading: ChipReading; length: number } | undefined {
  const match = logicPattern.exec(body);
  if (match === null) return undefined;
  const [whole, series = "", letters = "", number = ""] = match;
  const { families, series: known } = data.logic;
  const first = known[0];
  const family = families.find((candidate) => candidate.letters === letters);
  if (first === undefined || family === undefined || !known.includes(series)) return undefined;
  if (!tailPattern.test(body.slice(whole.length))) return undefined;
  const types = [letters, ...family.instead].map((candidate) => `${first}${candidate}${number}`);
  return { reading: { types, reason: `logic number ${whole}`, exactTypes: 1 }, length: whole.length };
}
