import type { Parsed, Problem } from "../../base/problem.js";
import type { FreeRun, FreeRunLine } from "./free-run.js";

/** A reading in a free run: a rate, or what a logic probe shows. */
export interface FreeRunReading {
  /** Net, or part and pin as `U15.7`. */
  readonly place: string;
  readonly seen: number | "pulsing" | "high" | "low";
}

/** A reading beside what was expected. */
export interface ComparedLine {
  readonly line: FreeRunLine;
  readonly seen: FreeRunReading["seen"];
  readonly fits: boolean;
  /** One sentence. */
  readonly say: string;
}

/** A counter or a scope is believed to be within this share. */
const rateTolerance = 0.02;

/**
 * Reads readings, one a line: `net value` or `U15.7 value`, where the value is a rate (`62.5k`, `1 MHz`, `244`) or `pulsing`,
 * `high`, `low`. Blanks or commas stand before the value; lines that begin with # are passed over. Code: `reading-form`.
 */
export function parseFreeRunReadings(text: string): Parsed<readonly FreeRunReading[]> {
  const problems: Problem[] = [];
  const value: FreeRunReading[] = [];
  for (const [k, raw] of text.split(/\r\n|\n|\r/).entries()) {
    const line = raw.trim();
    if (line === "" || line.startsWith("#")) continue;
    const match = /^(.+?)\s*[,\s]\s*(?:(pulsing|high|low)|(\d+(?:\.\d+)?)\s*([kM]?)(?:Hz)?)$/i.exec(line);
    const [, place, look, number, scale = ""] = match ?? [];
    if (place === undefined) {
      const message = "A net or a pin and then a rate, 'pulsing', 'high' or 'low' were expected.";
      problems.push({ code: "reading-form", severity: "error", message, where: { line: k + 1 } });
      continue;
    }
    const word = look?.toLowerCase();
    if (word === "pulsing" || word === "high" || word === "low") value.push({ place, seen: word });
    else value.push({ place, seen: Number(number) * (scale === "M" ? 1e6 : scale === "" ? 1 : 1e3) });
  }
  return { value, problems };
}

/** Compares readings with a free run. Code: `reading-place` for a place where nothing is expected. */
export function compareFreeRun(
  run: FreeRun,
  readings: readonly FreeRunReading[],
): Parsed<readonly ComparedLine[]> {
  const problems: Problem[] = [];
  const value = readings.flatMap(({ place, seen }): ComparedLine[] => {
    const line = run.lines.find(({ net, part, pin }) => net === place || `${part}.${pin}` === place);
    if (line === undefined) {
      const message = `Nothing is expected at '${place}' in a free run; take a line of the list.`;
      problems.push({ code: "reading-place", severity: "error", message, where: {} });
      return [];
    }
    return [{ line, seen, ...judged(run, line, seen) }];
  });
  return { value, problems };
}

function judged(
  run: FreeRun,
  line: FreeRunLine,
  seen: FreeRunReading["seen"],
): Pick<ComparedLine, "fits" | "say"> {
  if (typeof seen !== "number") {
    const fits = seen === line.look;
    return { fits, say: fits ? "As it should be." : `It should be ${line.look}. ${line.note}` };
  }
  if (!line.isSquare) {
    const fits = seen > 0 === (line.look === "pulsing");
    return {
      fits,
      say: fits
        ? "It moves as it should; a counter says no more here."
        : `It should be ${line.look}. ${line.note}`,
    };
  }
  const fits = Math.abs(seen - line.hertz) <= rateTolerance * line.hertz;
  if (fits) return { fits, say: "As it should be." };
  const other = run.lines.find(
    ({ isSquare, hertz }) => isSquare && Math.abs(seen - hertz) <= rateTolerance * hertz,
  );
  const hint = other === undefined ? "" : ` That is the rate of ${other.net}: the two may be bridged.`;
  return { fits, say: `It should be ${line.hertz} Hz.${hint}` };
}
