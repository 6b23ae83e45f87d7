import type { SuspectMode } from "../../core/find/result/result.js";

/** A failure mode of a suspect in a few words: `output stuck low, pin 4`, `socket: contact open, pin 9 (when warm)`. */
export function modeWords({
  mode,
  site,
  detail,
  manifestation,
}: Omit<SuspectMode, "meaning" | "probability">): string {
  // A broken track or a bridge says by itself where it sits.
  const place = site === "part" || mode.startsWith(site) ? "" : `${site}: `;
  const pins = /^\d+$/.test(detail) ? "pin " : /^\d+-\d+$/.test(detail) ? "pins " : "";
  const where = detail === "" ? "" : `, ${pins}${detail}`;
  const times = { permanent: "", "warm-only": " (when warm)", intermittent: " (now and then)" };
  return `${place}${mode.replaceAll("-", " ")}${where}${times[manifestation]}`;
}
