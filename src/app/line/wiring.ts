import type { JobEntry } from "../../core/job/job-entry.js";

const pattern =
  /^\s*([A-Za-z0-9_+-]+\.[^\s.]+)\s+to\s+([A-Za-z0-9_+-]+\.[^\s.]+)\s+(rings|beeps|does\s+not\s+ring|does\s+not\s+beep|silent|open)\s*[.]?\s*$/i;

/**
 * Reads how the board is wired, as measured: `U4.7 to U9.3 rings`, `U4.7 to U9.3 does not ring`. Undefined for any other
 * line; a reading of two pins, `U4.7-U9.3 rings`, is one.
 */
export function readWiring(line: string): Extract<JobEntry, { kind: "connection" }> | undefined {
  const found = pattern.exec(line.slice(0, 300));
  if (found === null) return undefined;
  const [, from = "", to = "", word = ""] = found;
  const shows = /^(?:rings|beeps)$/i.test(word) ? "rings" : "open";
  return { kind: "connection", from: pinText(from), to: pinText(to), shows };
}

/** References are printed in capitals; names of pins are left as they are. */
function pinText(pin: string): string {
  const dot = pin.lastIndexOf(".");
  return `${pin.slice(0, dot).toUpperCase()}${pin.slice(dot)}`;
}
